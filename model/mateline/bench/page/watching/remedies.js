/* What can be done about a finding with one press: each remedy is one edit, in words.

   remediesOf(finding, { table, survey, face, tape, schemaPlaces }) -> [{ words, patch, says } or { words, go: [view, ...more] }]
     face    GET C/faces/FACE of the finding's face, where it is known
   settlement(finding, findings, tape) -> the [[settled]] entry that fits this finding and no other
   What is offered is what the definition can say; a border is moved in the drawing.               */
import { shifted } from "./moves.js";
import { clearOf } from "./moving.js";
import { reading } from "../said.js";

export const SETTLED_NEVER = new Set(["settlement-unmatched", "settlement-unclear"]);
const WOOD = new Set(["hole-splits-piece", "hole-swallows-piece", "hole-thins-piece", "border-over-hole"]);
const quoted = (text) => [...text.matchAll(/“([^”]+)”/g)].map((each) => each[1]);
const LEVELS = { stop: "Stop", warn: "Warning", note: "Note" };
export const levelSaid = (level) => LEVELS[level];
const plain = (code) => code.replaceAll("-", " ");
export const headOf = (finding) => plain(finding.code).replace(/^./, (letter) => letter.toUpperCase());

/* The carcase of a face: the longest name that the face's begins with. */
export function carcaseOf(face, table) {
  const found = (table.carcase || []).map((each, at) => [each.name, at])
    .filter(([name]) => face?.startsWith(`${name}-`)).sort((one, other) => other[0].length - one[0].length)[0];
  return found ? { name: found[0], index: found[1], panel: face.slice(found[0].length + 1) } : null;
}

export function hardwareOf(finding, table, face) {
  if (!finding.hardware) return -1;
  const hole = face?.holes.find((each) => each.name === finding.hardware);
  if (hole && hole.index !== null) return hole.index;
  const fits = (table.hardware || []).map((each, at) => [each.name, at])
    .filter(([name]) => finding.hardware === name || finding.hardware.startsWith(`${name} `));
  return fits.sort((one, other) => other[0].length - one[0].length)[0]?.[1] ?? -1;
}

export function remediesOf(finding, about) {
  const make = MAKERS[finding.code], found = make ? make(finding, about) : [];
  const more = WOOD.has(finding.code) ? ofHardware(finding, about) : [];
  return [...more, ...found].filter(Boolean);
}

function ofHardware(finding, about) {
  const { table, face, tape } = about, index = hardwareOf(finding, table, face), entry = table.hardware?.[index];
  if (!entry) return [];
  const found = [], path = `/hardware/${index}/state`;
  const move = face && entry.on === face.name ? clearOf(face, index, table, tape) : null;
  if (move) {
    const edit = shifted(entry, index, face, move.by, tape);
    if (edit) found.push({ words: `Move it ${move.said}`, says: edit.says, patch: edit.patch });
  }
  if (entry.state === "stays" && finding.code !== "border-over-hole")
    found.push({ words: "It comes off while painting", says: `Take ${entry.name} off while painting`,
      patch: [{ op: "replace", path, value: "removed" }] });
  if (entry.state !== "stays" && finding.code === "border-over-hole")
    found.push({ words: "It stays on while painting", says: `Leave ${entry.name} on while painting`,
      patch: [{ op: "add", path, value: "stays" }] });
  found.push({ words: "Move it by hand", go: ["hardware", entry.on, entry.name] });
  return found;
}

const artOf = (finding, table) => {
  const file = finding.message.match(/([^\s“”,]+\.(?:svg|dxf))/i)?.[1];
  return (table.art || []).findIndex((each) => each.drawing === file && (!finding.face
    || [each.on, each.onto, each.wrap].flat().some((on) => on && (on === finding.face || on.startsWith(`${finding.face} off `)))));
};

const MAKERS = {
  "art-over-end": (finding, { table }) => {
    const carcase = carcaseOf(finding.face, table), edges = quoted(finding.remedy).filter((each) => each.includes(" and "));
    if (!carcase || !edges.length) return [];
    const path = (edge) => `/carcase/${carcase.index}/edges/${edge}/end`;
    return [["Paint those ends with the art", "art", "Paint the ends beside"], ["Leave those ends bare", "left", "Leave the ends bare beside"]]
      .map(([words, value, says]) => ({ words, says: `${says} ${finding.face}${value === "art" ? " with its art" : ""}`,
        patch: edges.map((edge) => ({ op: "add", path: path(edge), value })) }));
  },
  "landmark-off": (finding, { table }) => {
    const name = finding.remedy.match(/ignored_landmarks = \["([^"]+)"\]/)?.[1], index = artOf(finding, table);
    if (!name || index < 0) return [];
    const before = table.art[index].ignored_landmarks || [];
    return [{ words: `Leave out the landmark “${name}”`, says: `Leave out the landmark ${name} of ${table.art[index].drawing}`,
      patch: [{ op: "add", path: `/art/${index}/ignored_landmarks`, value: [...before, name] }] }];
  },
  "lettering-left-out": leftOut,
  "drawing-left-out": leftOut,
  "art-off-face": (finding, { table }) => {
    const index = artOf(finding, table);
    return index < 0 ? [] : [{ words: "It is meant to run off", says: `Let ${table.art[index].drawing} run off its face`,
      patch: [{ op: "add", path: `/art/${index}/bleed`, value: true }] }];
  },
  "reading-suspect": toReadings, "outline-unchecked": toReadings, "mirror-outline": toReadings,
  "mirror-extra": (finding, { table, face }) => {
    const index = hardwareOf(finding, table, face), entry = table.hardware?.[index];
    return entry && !entry.both_sides ? [{ words: "It is on both sides", says: `Put ${entry.name} on both sides`,
      patch: [{ op: "add", path: `/hardware/${index}/both_sides`, value: true }] }] : [];
  },
  "mirror-missing": (finding, { table, face }) => {
    const index = hardwareOf(finding, table, face), entry = table.hardware?.[index];
    return entry && !entry.both_sides ? [{ words: "It is on both sides", says: `Put ${entry.name} on both sides`,
      patch: [{ op: "add", path: `/hardware/${index}/both_sides`, value: true }] }] : [];
  },
  "word-without-effect": (finding, { pointerOf }) => {
    const place = finding.message.split(" has no effect")[0], pointer = pointerOf?.(place);
    return pointer ? [{ words: "Take the word out", says: `Take out a word without effect: ${place}`,
      patch: [{ op: "remove", path: pointer }] }] : [];
  },
  "lettering-unmarked": () => [],
  "piece-tiny": drawnWider, "piece-narrow": drawnWider, "piece-without-tack": drawnWider, "tip-sharp": drawnWider,
};
function toReadings(finding, { table }) {
  const said = finding.message.match(/^The reading (\S+) of (.+?), /), names = (table.carcase || []).map((each) => each.name);
  const outline = said?.[2] || finding.face || finding.message.match(/No reading of (\S+) /)?.[1] || "";
  const carcase = names.filter((each) => outline === each || outline.startsWith(`${each} `) || outline.startsWith(`${each}-`))
    .sort((one, other) => other.length - one.length)[0];
  if (!carcase) return [{ words: "Go to the readings", go: ["measure"] }];
  const side = outline.slice(carcase.length + 1);
  return [{ words: said ? `Go to ${said[1]}` : "Go to the readings", go: ["measure", "at", carcase, ["left", "right"].includes(side) ? side : "outline",
    ...(said ? [said[1]] : [])] }];
}
function drawnWider(finding) {
  return finding.face ? [{ words: "Draw it otherwise", go: ["art", finding.face] }] : [];
}
function leftOut(finding, { table }) {
  const id = finding.message.match(/: #([^\s:]+):/)?.[1], index = artOf(finding, table);
  if (!id || index < 0) return [];
  const before = table.art[index].leave_out || [];
  return [{ words: `Leave out #${id}`, says: `Leave #${id} of ${table.art[index].drawing} out`,
    patch: [{ op: "add", path: `/art/${index}/leave_out`, value: [...before, id] }] }];
}

export function settlement(finding, findings, because, tape) {
  const entry = { code: finding.code };
  for (const key of ["face", "piece", "hardware"]) if (finding[key]) entry[key] = finding[key];
  const fits = (each) => Object.keys(entry).every((key) => each[key] === entry[key]);
  const others = findings.filter((each) => each !== finding && fits(each));
  if (others.length && finding.at) entry.at = finding.at.map((mm) => reading(mm, tape));
  if (others.some((each) => !finding.at || (each.at && Math.hypot(each.at[0] - finding.at[0], each.at[1] - finding.at[1]) < 10)))
    entry.says = finding.message;
  return { ...entry, because };
}
export const areaSaid = (mm2, tape) => (tape.system === "metric" ? `${Number((mm2 / 100).toPrecision(3))} cm²`
  : `${Number((mm2 / 645.16).toPrecision(3))} in²`);

