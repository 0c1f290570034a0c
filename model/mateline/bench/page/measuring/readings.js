/* The readings of one outline, one by one, in whichever way the definition writes them, and the
   operations (RFC 6902) that change one. Pure: no page, no server.

   entry     { label, key, kind, names, value, set(next), remove() }: `label` is what the tape's
             report calls it ("A-C", "D above A-B"), `value` a reading or a list of them, `set` and
             `remove` give operations; kind: distance, above, along, past, other
   planned   pairs that are still to be read: sides first, then what makes them stiff           */
import { pointerTo } from "../form.js";
import { mmOf } from "../said.js";
import { aboutOf, across, apart, pairsOf, reflexOf } from "./sketch.js";

const DISTANCE = /^(\w+)\s*-\s*(\w+)$/;
const FROM_LINE = /^(\w+)\s+(above|along|past)\s+(\w+)\s*-\s*(\w+)$/;
const PARTED = /\s*;\s*|,\s+/;

export const at = (where, ...steps) => pointerTo("carcase", where.index, where.which, ...steps);

export function entriesOf(where, readings = {}) {
  return Object.entries(readings).flatMap(([text, value]) => {
    const key = text.trim(), pointer = at(where, "readings", text);
    const whole = { key: text, pointer, value, set: (next) => [{ op: "replace", path: pointer, value: next }],
      remove: () => [{ op: "remove", path: pointer }] };
    const pair = DISTANCE.exec(key), line = FROM_LINE.exec(key);
    if (pair) return [{ ...whole, label: `${pair[1]}-${pair[2]}`, kind: "distance", names: [pair[1], pair[2]] }];
    if (line) {
      return [{ ...whole, label: `${line[1]} ${line[2]} ${line[3]}-${line[4]}`, kind: line[2],
        names: [line[1], line[3], line[4]] }];
    }
    if (typeof value === "string" && /^\w+$/.test(key)) return row(whole, key, value);
    const pairs = key.split(PARTED);
    if (typeof value !== "object" && pairs.length > 1 && pairs.every((each) => DISTANCE.test(each))) {
      return several(whole, pairs, String(value));
    }
    return [{ ...whole, label: key, kind: "other", names: [] }];
  });
}
function row(whole, corner, text) {
  const cells = text.trim().split(PARTED).map((cell) => /^([A-Za-z]\w*)\s+(.+)$/.exec(cell));
  if (cells.includes(null)) return [{ ...whole, label: corner, kind: "other", names: [] }];
  const written = (list) => list.map(([, other, length]) => `${other} ${length}`).join(", ");
  return cells.map((cell, which) => ({ ...whole, label: `${corner}-${cell[1]}`, kind: "distance",
    names: [corner, cell[1]], value: cell[2],
    set: (next) => whole.set(written(cells.map((each, other) => (other === which ? [0, cell[1], next] : each)))),
    remove: () => (cells.length === 1 ? whole.remove() : whole.set(written(cells.filter((_, other) => other !== which)))) }));
}
function several(whole, pairs, text) {
  const pieces = text.trim().split(PARTED);
  const lengths = pairs.map((_, which) => (pieces.length > 1 ? pieces[which] ?? "" : pieces[0]));
  return pairs.map((each, which) => {
    const [, a, b] = DISTANCE.exec(each);
    const rest = pairs.filter((_, other) => other !== which);
    return { ...whole, label: `${a}-${b}`, kind: "distance", names: [a, b], value: lengths[which],
      set: (next) => whole.set(lengths.map((old, other) => (other === which ? next : old)).join(", ")),
      remove: () => [...whole.remove(), { op: "add", path: whole.pointer.replace(/[^/]*$/, rest.join(", ")),
        value: lengths.filter((_, other) => other !== which).join(", ") }] };
  });
}
export const isSame = ([a, b], [c, d]) => (a === c && b === d) || (a === d && b === c);
const read = (entries) => entries.filter((each) => each.kind === "distance").map((each) => each.names);

/* Pairs still to be read, in the order in which one walks round the cabinet with a tape. */
export function planned(names, entries, points) {
  const done = read(entries);
  const left = pairsOf(names).filter((pair) => !done.some((each) => isSame(each, pair)));
  if (!points) return left;
  const index = (name) => names.indexOf(name);
  const isSide = ([a, b]) => [1, names.length - 1].includes(Math.abs(index(a) - index(b)));
  const free = (pair) => isSide(pair) || across(points, index(pair[0]), index(pair[1]));
  return [...left.filter(free), ...left.filter((pair) => !free(pair))];
}
/* Pairs that a text of the tape's report names: "Measure A-C or B-D." */
export const pairsIn = (text, names) => [...String(text).matchAll(/(?<![\w-])(\w+)-(\w+)(?![\w-])/g)]
  .map(([, a, b]) => [a, b]).filter((pair) => pair.every((name) => names.includes(name)));

/* What a first reading, or one more, does to the definition. `measured` is the outline's table;
   `points` where its corners are. A drawing gives way to readings; until they hold the outline, it
   stays as rough lengths (`about`), and goes with the first reading after that.                  */
export function typed(where, pair, value, { measured, names, points, tape, solved }) {
  const label = pair.join("-");
  const last = { op: "add", path: at(where, "readings", label), value };
  if (measured?.points) {
    const mm = mmOf(value, tape), drawn = apart(points[names.indexOf(pair[0])], points[names.indexOf(pair[1])]);
    const about = aboutOf(names, points, tape, mm && drawn ? mm / drawn : 1);
    const reflex = reflexOf(names, points);
    return [{ op: "remove", path: at(where, "points") }, last, { op: "add", path: at(where, "about"), value: about },
      ...(reflex.length ? [{ op: "add", path: at(where, "reflex"), value: reflex }] : [])];
  }
  return solved && measured.about ? [last, { op: "remove", path: at(where, "about") }] : [last];
}
