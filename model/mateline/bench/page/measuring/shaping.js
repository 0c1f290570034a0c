/* Operations (RFC 6902) that change which corners, sides and carcases there are. Pure.

   seen is what the measuring view knows: { box, names, points, measured, stated, boards }          */
import { pointerTo } from "../form.js";
import { word } from "../said.js";
import { appended } from "../store.js";
import { at } from "./readings.js";
import { apart, LETTERS, nextLetter, panelsFor } from "./sketch.js";

const pointsOf = (names, points, tape) => Object.fromEntries(names.map((name, index) => [name,
  points[index].map((each) => word(each, tape))]));

/* A profile drawn anew: its corners, stated as they were drawn, and a board on each side. */
export function redrawn(table, where, points, tape, boards = null) {
  const box = table.carcase[where.index], base = pointerTo("carcase", where.index);
  const names = LETTERS.slice(0, points.length);
  const edge = (at1) => `${names[at1]}-${names[(at1 + 1) % names.length]}`;
  const panels = boards ? Object.fromEntries(boards.map((board, at1) => [board, { edge: edge(at1) }]).reverse())
    : panelsFor(names, points, box.view);
  const kept = Object.entries(box.panels || {}).filter(([, each]) => !each.edge);
  return [{ op: "add", path: `${base}/corners`, value: names },
    ...["left", "right", "outline"].filter((each) => box[each]).map((each) => ({ op: "remove", path: `${base}/${each}` })),
    { op: "add", path: `${base}/outline`, value: { points: pointsOf(names, points, tape) } },
    // taken out first: a table that is changed keeps its order, and the order of boards says which lies over
    ...(box.panels ? [{ op: "remove", path: `${base}/panels` }] : []),
    { op: "add", path: `${base}/panels`, value: { ...panels, ...Object.fromEntries(kept) } }];
}

/* One more corner in the middle of a side. */
export function added(table, where, seen, pair, tape) {
  const { names, points, box } = seen, base = pointerTo("carcase", where.index);
  const [first, second] = names.indexOf(pair[1]) === (names.indexOf(pair[0]) + 1) % names.length ? pair : [...pair].reverse();
  const index = names.indexOf(first), fresh = nextLetter(names);
  const middle = [0, 1].map((axis) => (points[index][axis] + points[(index + 1) % names.length][axis]) / 2);
  const [board, panel] = Object.entries(box.panels || {}).find(([, each]) => [`${first}-${second}`, `${second}-${first}`].includes(each.edge)) || [];
  const operations = [{ op: "add", path: `${base}/corners/${index + 1}`, value: fresh }];
  for (const which of ["outline", "left", "right"]) {
    const measured = box[which];
    if (!measured) continue;
    const own = { ...where, which };
    if (measured.points) operations.push({ op: "add", path: at(own, "points", fresh), value: middle.map((each) => word(each, tape)) });
    else {
      const around = [index - 1, index, index + 1, index + 2].map((each) => (each + names.length) % names.length);
      for (const each of new Set(around)) {
        operations.push({ op: "add", path: at(own, "about", `${names[each]}-${fresh}`), value: word(Math.max(apart(points[each], middle), tape.graduation_mm), tape) });
      }
    }
  }
  if (board) {
    let name = `${board}-2`;
    for (let number = 3; box.panels[name]; number += 1) name = `${board}-${number}`;
    operations.push({ op: "add", path: `${base}/panels/${board}/edge`, value: `${first}-${fresh}` },
      { op: "add", path: `${base}/panels/${name}`, value: { ...panel, edge: `${fresh}-${second}` } });
  }
  return operations;
}

/* A corner less: all that was read to it goes, and its two sides become one. */
export function removed(table, where, seen, corner) {
  const { names, box } = seen, base = pointerTo("carcase", where.index), index = names.indexOf(corner);
  const before = names.at(index - 1), after = names[(index + 1) % names.length];
  const operations = [{ op: "remove", path: `${base}/corners/${index}` }];
  const speaks = new RegExp(`(^|[^\\w])${corner}($|[^\\w])`);
  for (const which of ["outline", "left", "right"].filter((each) => box[each])) {
    const own = { ...where, which };
    for (const word1 of ["points", "readings", "about", "angles", "curves"]) {
      const gone = Object.keys(box[which][word1] || {}).filter((key) => speaks.test(key));
      for (const key of gone) operations.push({ op: "remove", path: at(own, word1, key) });
    }
    for (const word1 of ["square", "reflex"]) {
      const list = box[which][word1];
      if (!list?.includes(corner)) continue;
      const rest = list.filter((each) => each !== corner);
      operations.push(rest.length ? { op: "add", path: at(own, word1), value: rest } : { op: "remove", path: at(own, word1) });
    }
  }
  const on = (edge) => Object.entries(box.panels || {}).find(([, each]) => each.edge === edge || each.edge === edge.split("-").reverse().join("-"))?.[0];
  const first = on(`${before}-${corner}`), second = on(`${corner}-${after}`);
  if (first) operations.push({ op: "add", path: `${base}/panels/${first}/edge`, value: `${before}-${after}` });
  if (second) operations.push(first ? { op: "remove", path: `${base}/panels/${second}` }
    : { op: "add", path: `${base}/panels/${second}/edge`, value: `${before}-${after}` });
  return operations;
}

/* One more carcase: a box on the top of the first one, as wide, to be drawn and measured. */
export function another(table, tape) {
  const all = table.carcase || [], first = all[0];
  const stem = first ? "head" : "body";
  let name = stem;
  for (let number = 2; all.some((each) => each.name === name); number += 1) name = `${stem}-${number}`;
  const inch = tape.system === "inch", [wide, high] = inch ? [355.6, 609.6] : [350, 600];
  const names = LETTERS.slice(0, 4), points = [[0, 0], [wide, 0], [wide, high], [0, high]];
  const top = Object.entries(first?.panels || {}).find(([board, each]) => each.edge && (board === "shelf" || board === "top"))?.[1].edge;
  const value = { name, view: "side", corners: names, width: first?.width ?? word(inch ? 609.6 : 600, tape), board: first?.board ?? word(inch ? 19.05 : 18, tape),
    outline: { points: pointsOf(names, points, tape) }, panels: panelsFor(names, points, "side"),
    ...(top && first.view === "side" ? { stands_on: { carcase: first.name, edge: top } } : {}) };
  return [appended(table, "carcase", value)];
}

/* Sides measured apart start alike: what was read counts for the left one, the right one is to be
   read anew and keeps it as a rough shape. */
export function apartTable(where, box) {
  const base = pointerTo("carcase", where.index), measured = box.outline;
  const right = measured.points ? measured : { ...measured, readings: {}, about: { ...(measured.about || {}), ...roughOf(measured.readings) } };
  return [{ op: "move", from: `${base}/outline`, path: `${base}/left` }, { op: "add", path: `${base}/right`, value: right }];
}
const roughOf = (readings = {}) => Object.fromEntries(Object.entries(readings).filter(([key]) => /^\w+\s*-\s*\w+$/.test(key))
  .map(([key, value]) => [key, Array.isArray(value) ? value[0] : value]));
export function together(where, box, keep) {
  const base = pointerTo("carcase", where.index), other = keep === "left" ? "right" : "left";
  return [{ op: "move", from: `${base}/${keep}`, path: `${base}/outline` }, ...(box[other] ? [{ op: "remove", path: `${base}/${other}` }] : [])];
}

/* A new name for a carcase, wherever faces are called by it. */
export function renamed(table, index, name) {
  const old = table.carcase[index].name, operations = [{ op: "replace", path: pointerTo("carcase", index, "name"), value: name }];
  if (!old) return operations;
  const called = new RegExp(`(^|\\s)${old}-`, "g");
  const walk = (value, path) => {
    if (typeof value === "string") {
      const next = value.replace(called, `$1${name}-`);
      if (next !== value) operations.push({ op: "replace", path, value: next });
    } else if (value && typeof value === "object") {
      for (const [key, each] of Object.entries(value)) walk(each, path + pointerTo(key));
    }
  };
  for (const key of ["hardware", "art", "photo", "trace", "settled"]) walk(table[key], `/${key}`);
  table.carcase.forEach((each, at1) => {
    if (each.stands_on?.carcase === old) operations.push({ op: "replace", path: pointerTo("carcase", at1, "stands_on", "carcase"), value: name });
    for (const [board, panel] of Object.entries(each.panels || {})) {
      if (panel.shared?.startsWith(`${old}-`)) operations.push({ op: "replace", path: pointerTo("carcase", at1, "panels", board, "shared"), value: panel.shared.replace(`${old}-`, `${name}-`) });
    }
  });
  return operations;
}
