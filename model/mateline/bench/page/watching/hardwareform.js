/* The fields of one piece of hardware: its kind and size, its place from the edges that light up, what is
   mirrored, what stays, rows and grids.

   hardwareForm(entry, index, { face, survey, tape, light, chosen }) -> [elements]
     light(panel)   the edge with this board lights up; null: none
   KINDS, startOf(kind, tape)   what a new one is                                                    */
import { h } from "../dom.js";
import { form, part, reading, textInput } from "../form.js";
import { edit } from "../store.js";
import { cornerOf, edgeOf, inside, measuresOf, straightPanels } from "./moves.js";
import { word } from "../said.js";

export const KINDS = {
  bolt: { words: "Bolt", fields: ["size", "diameter"] },
  round: { words: "Round hole", fields: ["diameter"] },
  slot: { words: "Slot", fields: ["length", "width", "turn"] },
  rectangle: { words: "Rectangle", fields: ["length", "width", "corner", "turn"] },
  countersunk: { words: "Countersunk screw", fields: ["size", "diameter", "head", "head_angle"] },
};
const STARTS = {
  inch: { bolt: { size: "3/8" }, countersunk: { size: "1/4" }, round: { diameter: 25.4 }, slot: { length: 50.8, width: 9.525 },
    rectangle: { length: 76.2, width: 50.8 } },
  metric: { bolt: { size: "M8" }, countersunk: { size: "M6" }, round: { diameter: 28 }, slot: { length: 60, width: 10 },
    rectangle: { length: 80, width: 50 } },
};
export function startOf(kind, tape) {
  return Object.fromEntries(Object.entries(STARTS[tape.system][kind]).map(([key, value]) =>
    [key, typeof value === "number" ? word(value, tape) : value]));
}
const TITLES = { size: "Size", diameter: "Diameter", length: "Length", width: "Width", corner: "Round of the corners", turn: "Turned",
  head: "Head across", head_angle: "Angle of the head", margin: "Room about it" };

/* Standard sizes: those of the job's own system first. */
export function sizes(tape) {
  const all = part("HardwareTable").properties.size.examples || [];
  const metric = all.filter((each) => /^M\d/.test(each)), inch = all.filter((each) => !/^M\d/.test(each));
  const said = (each) => [each, each.startsWith("M") ? each : each.startsWith("#") ? `No. ${each.slice(1)}` : `${each}″`];
  return (tape.system === "metric" ? [...metric, ...inch] : [...inch, ...metric]).map(said);
}

export function hardwareForm(entry, index, about) {
  const { tape } = about, pointer = `/hardware/${index}`, own = { of: entry.name, key: "hw-" };
  const set = (key, value, says) => edit(says, [{ op: "add", path: `${pointer}/${key}`, value }]);
  const fields = entry.kind ? [...KINDS[entry.kind].fields.filter((each) => !(each === "diameter" && entry.size && entry.diameter === undefined)),
    ...(entry.state === "stays" ? ["margin"] : [])] : ["turn", "mirrored"];
  return [
    form(part("HardwareTable"), entry, pointer, { ...own, only: ["name"] }).el,
    h("fieldset", {}, h("legend", {}, "Kind and size"), entry.kind ? kinds(entry, index, tape) : h("p", { class: "hint" }, `Group ${entry.group}`),
      form(part("HardwareTable"), entry, pointer, { ...own, only: fields, labels: TITLES, choices: { size: sizes(tape) } }).el),
    placeFields(entry, index, about),
    h("fieldset", {}, h("legend", {}, "While painting"), h("div", { class: "chips", role: "group", aria_label: "While painting" },
      [["removed", "It comes off"], ["stays", "It stays on"]].map(([value, words]) => h("button", { type: "button", data_key: `state-${value}`,
        aria_pressed: String((entry.state || "removed") === value), onclick: () => set("state", value,
          value === "stays" ? `Leave ${entry.name} on while painting` : `Take ${entry.name} off while painting`) }, words))),
    h("label", { class: "tick" }, h("input", { type: "checkbox", checked: Boolean(entry.both_sides), data_key: "both-sides", id: "both-sides",
      onchange: (event) => set("both_sides", event.target.checked, event.target.checked ? `Mirror ${entry.name} to the other side`
        : `Take ${entry.name} off the other side`) }), "Mirrored to the other side")),
    !entry.along && repeated(entry, index, about, own),
  ];
}

function kinds(entry, index, tape) {
  return h("div", { class: "chips", role: "group", aria_label: "Kind" }, Object.entries(KINDS).map(([kind, { words, fields }]) => h("button", {
    type: "button", data_key: `kind-${kind}`, aria_pressed: String(entry.kind === kind), onclick: () => {
      if (kind === entry.kind) return;
      const start = startOf(kind, tape), path = `/hardware/${index}`;
      const gone = ["size", "diameter", "length", "width", "corner", "turn", "head", "head_angle"].filter((key) => entry[key] !== undefined
        && !(fields.includes(key) && (key in start || key === "turn")));
      const more = Object.entries(start).filter(([key]) => entry[key] === undefined || gone.includes(key));
      edit(`Make ${entry.name} a ${words.toLowerCase()}`, [{ op: "replace", path: `${path}/kind`, value: kind },
        ...gone.filter((key) => !more.some(([other]) => other === key)).map((key) => ({ op: "remove", path: `${path}/${key}` })),
        ...more.map(([key, value]) => ({ op: "add", path: `${path}/${key}`, value }))]);
    } }, words)));
}

function placeFields(entry, index, about) {
  const { face, tape, light } = about, path = `/hardware/${index}`;
  if (entry.along) {
    return h("fieldset", {}, h("legend", {}, "Along an edge"), form(part("AlongTable"), entry.along, `${path}/along`,
      { of: entry.name, key: "hw-", choices: { edge: straightPanels(face), from: straightPanels(face) }, labels: { edge: "Edge with", from: "From the corner with",
        at: "Along it", in: "In from it", count: "How many", pitch: "Apart", leave: "Left at the other end" } }).el,
    h("button", { type: "button", data_key: "from-edges", onclick: () => fromEdges(entry, index, face, tape) }, "From two edges instead"));
  }
  if (!entry.from) {
    return h("fieldset", {}, h("legend", {}, "Place"), form(part("HardwareTable"), entry, path, { of: entry.name, key: "hw-", only: ["from_corners"] }).el);
  }
  const panels = straightPanels(face), taken = Object.keys(entry.from);
  const row = (panel, at) => h("div", { class: "field" },
    h("label", { for: `distance-${at}` }, `From the ${panel}`),
    h("div", { class: "with-unit" }, textInput({ id: `distance-${at}`, value: entry.from[panel] ?? "", data_edge: panel,
      onfocus: () => light(panel), onblur: () => light(null), taken: (text) => text && edit(`Set ${entry.name} ${text} from the ${panel}`,
        [{ op: "replace", path: `${path}/from/${panel}`, value: reading(text) }]) }),
    h("select", { aria_label: `Measured from, instead of the ${panel}`, data_key: `edge-${at}`, onfocus: () => light(panel),
      onblur: () => light(null), onchange: (event) => other(panel, event.target.value) },
    [panel, ...panels.filter((each) => !taken.includes(each))].map((each) => h("option", { value: each, selected: each === panel }, each)))));
  function other(panel, next) {
    const hole = measuresOf(entry, index, face)[0] && about.at;
    const mm = hole ? inside(edgeOf(face, next), hole) : 0, value = word(mm, tape);
    const from = Object.fromEntries(Object.entries(entry.from).map(([key, old]) => (key === panel ? [next, value] : [key, old])));
    edit(`Measure ${entry.name} from the ${next}, not the ${panel}`, [{ op: "replace", path: `${path}/from`, value: from }]);
  }
  return h("fieldset", {}, h("legend", {}, "Place"), h("div", { class: "fields" }, taken.map(row)),
    h("button", { type: "button", data_key: "along", onclick: () => alongEdge(entry, index, face, tape, about.at) }, "Along an edge instead"));
}

function alongEdge(entry, index, face, tape, at) {
  const [panel, from] = Object.keys(entry.from), edge = edgeOf(face, panel), start = edge && cornerOf(face, edge, from);
  if (!start || !at) return;
  const along = Math.hypot(at[0] - start[0], at[1] - start[1]), deep = inside(edge, at);
  const text = (mm) => word(mm, tape);
  edit(`Measure ${entry.name} along the ${panel}`, [{ op: "remove", path: `/hardware/${index}/from` },
    ...["row", "grid"].filter((key) => entry[key]).map((key) => ({ op: "remove", path: `/hardware/${index}/${key}` })),
    { op: "add", path: `/hardware/${index}/along`, value: { edge: panel, from, at: text(Math.sqrt(Math.max(0, along ** 2 - deep ** 2))), in: text(deep) } }]);
}
function fromEdges(entry, index, face, tape) {
  const found = measuresOf(entry, index, face);
  const next = edgeOf(face, entry.along.from), edge = edgeOf(face, entry.along.edge), hole = face.holes.find((each) => each.index === index);
  if (!found.length || !next || !edge || !hole) return;
  const text = (mm) => word(mm, tape);
  edit(`Measure ${entry.name} from two edges`, [{ op: "remove", path: `/hardware/${index}/along` }, { op: "add", path: `/hardware/${index}/from`,
    value: { [entry.along.from]: text(inside(next, hole.at)), [entry.along.edge]: text(inside(edge, hole.at)) } }]);
}

function repeated(entry, index, { tape }, own) {
  const path = `/hardware/${index}`, now = entry.row ? "row" : entry.grid ? "grid" : "one";
  const step = (mm) => word(mm, tape), unit = tape.system === "metric" ? 50 : 50.8;
  const fresh = { row: { count: 2, pitch: step(unit) }, grid: { columns: 2, rows: 2, across: step(unit), up: step(unit) } };
  return h("fieldset", {}, h("legend", {}, "How many"), h("div", { class: "chips", role: "group", aria_label: "How many" },
    [["one", "One"], ["row", "A row"], ["grid", "A grid"]].map(([key, words]) => h("button", { type: "button", data_key: `many-${key}`,
      aria_pressed: String(now === key), onclick: () => now !== key && edit(key === "one" ? `Make ${entry.name} a single one`
        : `Make ${entry.name} ${words.toLowerCase()}`, [...(now === "one" ? [] : [{ op: "remove", path: `${path}/${now}` }]),
        ...(key === "one" ? [] : [{ op: "add", path: `${path}/${key}`, value: fresh[key] }])]) }, words))),
  now !== "one" && form(part(now === "row" ? "RowTable" : "GridTable"), entry[now], `${path}/${now}`, { ...own,
    labels: { count: "How many", pitch: "Apart", turn: "Turned", columns: "Columns", rows: "Rows", across: "Apart across", up: "Apart upwards" } }).el);
}
