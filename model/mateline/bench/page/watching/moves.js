/* Hardware that is moved: what the definition says then. A move changes what a place is measured by,
   in steps of the tape, and nothing else.

   measuresOf(entry, index, face)   [{key, path, mm, way, words, edge}, ...]: what places it; `way` is
                                    how the measure grows with [x, y]; [] where it is only typed
   snapped(measures, [dx, dy], tape)  the move that brings each measure onto a mark of the tape
   stated(entry, index, face, tape, measures)   [x, y] where its readings have it, survey or not
   shifted(entry, index, face, by, tape) -> { patch, says, by } or null
   placed(face, panels, at, tape)   the `from` of a new one at [x, y]: {panel: reading}
   edgeOf(face, panel)              the edge of a face that the definition calls by a panel's name
   nearestEdges(face, at)           the two panels that a new one is measured from best              */
import { mmOf, onMark, said, word } from "../said.js";

const dot = (one, other) => one[0] * other[0] + one[1] * other[1];
const PARALLEL = 0.3; // sine of the least angle between what two distances are measured from

export const panelOf = (edge, face) => edge.beyond.slice(shared(face.name, edge.beyond));
/* How much two names of one carcase have in common, to the last hyphen. */
function shared(one, other) {
  let at = 0;
  for (let next = 0; next < Math.min(one.length, other.length) && one[next] === other[next]; next += 1)
    if (one[next] === "-") at = next + 1;
  return at;
}
export const edgeOf = (face, panel) => face.edges.find((edge) => panelOf(edge, face) === panel);
/* How far a place is inside an edge, square to it, mm. */
export const inside = (edge, at) => -dot([at[0] - edge.from[0], at[1] - edge.from[1]], edge.out);

/* The hole that the entry itself places: not its mirror image, which is measured from other edges. */
export function firstHole(face, index, entry) {
  const all = face.holes.filter((hole) => hole.index === index), names = Object.keys(entry.from || {}).sort().join();
  return all.find((hole) => hole.measured && [...hole.measured.names].sort().join() === names) || all[0];
}

export function measuresOf(entry, index, face, at = firstHole(face, index, entry)?.at) {
  if (!at || entry.on !== face.name) return [];
  if (entry.along) return alongMeasures(entry, index, face, at);
  const found = Object.keys(entry.from || {}).map((panel) => {
    const edge = edgeOf(face, panel);
    return edge?.straight && { key: panel, path: `/hardware/${index}/from/${panel}`, mm: inside(edge, at), edge,
      way: edge.out.map((value) => -value), words: `from the ${panel}` };
  });
  return found.length === 2 && found.every(Boolean) ? found : [];
}

function alongMeasures(entry, index, face, at) {
  const { edge: panel, from } = entry.along, edge = edgeOf(face, panel);
  const start = edge?.straight ? cornerOf(face, edge, from) : null;
  if (!start) return [];
  const end = start === edge.from ? edge.to : edge.from, long = Math.hypot(end[0] - start[0], end[1] - start[1]);
  const unit = [(end[0] - start[0]) / long, (end[1] - start[1]) / long], path = `/hardware/${index}/along`;
  return [{ key: "at", path: `${path}/at`, mm: dot([at[0] - start[0], at[1] - start[1]], unit), way: unit, edge: edgeOf(face, from),
    words: `along the ${panel}` },
  { key: "in", path: `${path}/in`, mm: inside(edge, at), way: edge.out.map((value) => -value), edge, words: `in from the ${panel}` }];
}
/* The end of an edge where the board `from` is beyond the next one; null for a corner by its letter. */
export function cornerOf(face, edge, from) {
  const next = edgeOf(face, from);
  const meets = (spot) => next && [next.from, next.to].some((end) => Math.hypot(end[0] - spot[0], end[1] - spot[1]) < 1);
  return meets(edge.from) ? edge.from : meets(edge.to) ? edge.to : null;
}

export function snapped(measures, by, tape) {
  if (measures.length !== 2) return by;
  const [a, b] = measures, whole = a.way[0] * b.way[1] - a.way[1] * b.way[0];
  if (Math.abs(whole) < PARALLEL) return by;
  const [p, q] = measures.map((each) => change(each, by, tape));
  return [(p * b.way[1] - q * a.way[1]) / whole, (q * a.way[0] - p * b.way[0]) / whole];
}
export function stated(entry, index, face, tape, named = {}) {
  const hole = firstHole(face, index, entry), found = hole ? measuresOf(entry, index, face, hole.at) : [];
  if (found.length !== 2) return hole?.at;
  const [a, b] = found, whole = a.way[0] * b.way[1] - a.way[1] * b.way[0];
  if (Math.abs(whole) < PARALLEL) return hole.at;
  const says = (each) => (entry.along ? entry.along[each.key] : entry.from[each.key]);
  const [p, q] = found.map((each) => (mmOf(says(each), tape, named) ?? each.mm) - each.mm);
  return [hole.at[0] + (p * b.way[1] - q * a.way[1]) / whole, hole.at[1] + (q * a.way[0] - p * b.way[0]) / whole];
}
/* By how much a measure changes: to a mark, or not at all. */
function change(measure, by, tape) {
  const raw = dot(by, measure.way);
  return Math.abs(raw) < tape.graduation_mm / 2 ? 0 : onMark(measure.mm + raw, tape) - measure.mm;
}

export function shifted(entry, index, face, by, tape, at) {
  const measures = measuresOf(entry, index, face, at);
  const patch = [], words = [];
  for (const each of measures) {
    const more = change(each, by, tape);
    if (Math.abs(more) < tape.graduation_mm / 100) continue;
    patch.push({ op: "replace", path: each.path, value: word(each.mm + more, tape) });
    words.push(`${said(each.mm + more, tape)} ${each.words}`);
  }
  return patch.length ? { patch, by: snapped(measures, by, tape), says: `Move ${entry.name} to ${words.join(" and ")}` } : null;
}

export function placed(face, panels, at, tape) {
  return Object.fromEntries(panels.map((panel) => [panel, word(inside(edgeOf(face, panel), at), tape)]));
}
export function straightPanels(face) {
  const names = face.edges.filter((edge) => edge.straight).map((edge) => panelOf(edge, face));
  return names.filter((name, at) => names.indexOf(name) === at && names.lastIndexOf(name) === at);
}
export function nearestEdges(face, at) {
  const all = straightPanels(face).map((panel) => ({ panel, edge: edgeOf(face, panel) }))
    .sort((one, other) => inside(one.edge, at) - inside(other.edge, at));
  const first = all[0], second = all.find((each) => Math.abs(dot(each.edge.out, first.edge.out)) < 0.5);
  return second ? [first.panel, second.panel] : all.slice(0, 2).map((each) => each.panel);
}
