/* Hardware that is moved: what the definition says then. Places are measured from edges, from corners
   or along an edge; a move changes what it is measured by, and nothing else.

   shifted(entry, index, face, [dx, dy], tape) -> { patch, says, to: {edge: reading} } or null
   placed(face, names, at, tape)   the `from` of a new one at [x, y]: {edge: reading}
   edgeOf(face, panel, table)      the edge of a face that the definition calls by a panel's name   */
import { reading, said } from "../said.js";

const dot = (one, other) => one[0] * other[0] + one[1] * other[1];
export const panelOf = (edge, face) => edge.beyond.slice(carcase(face.name, edge.beyond));
/* What two names of one carcase have in common ends with a hyphen. */
function carcase(one, other) {
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

export function shifted(entry, index, face, by, tape) {
  const hole = firstHole(face, index, entry);
  if (!hole) return null;
  if (entry.along) return alongShifted(entry, index, face, by, tape, hole);
  if (!entry.from) return null;
  const to = {}, patch = [], words = [];
  for (const panel of Object.keys(entry.from)) {
    const edge = edgeOf(face, panel);
    if (!edge || !edge.straight) return null;
    const change = -dot(by, edge.out);
    if (Math.abs(change) < tape.graduation_mm / 2) continue;
    const mm = inside(edge, hole.at) + change;
    to[panel] = reading(mm, tape);
    patch.push({ op: "replace", path: `/hardware/${index}/from/${panel}`, value: asWritten(to[panel], tape) });
    words.push(`${said(mm, tape)} from the ${panel}`);
  }
  if (!patch.length) return null;
  return { patch, to, says: `Move ${entry.name} to ${words.join(" and ")}` };
}

function alongShifted(entry, index, face, by, tape, hole) {
  const { edge: panel, from } = entry.along, edge = edgeOf(face, panel);
  if (!edge || !edge.straight) return null;
  const way = [edge.to[0] - edge.from[0], edge.to[1] - edge.from[1]], long = Math.hypot(...way);
  const unit = way.map((value) => value / long);
  // From which end: that of the board named, or of the corner.
  const beside = (spot) => face.edges.some((each) => panelOf(each, face) === from && [each.from, each.to]
    .some((end) => Math.hypot(end[0] - spot[0], end[1] - spot[1]) < 1));
  const start = beside(edge.from) ? edge.from : beside(edge.to) ? edge.to : null;
  if (!start) return null;
  const sign = start === edge.from ? 1 : -1;
  const at = sign * dot([hole.at[0] - start[0], hole.at[1] - start[1]], unit) + sign * dot(by, unit);
  const deep = inside(edge, hole.at) - dot(by, edge.out), to = { at, in: deep }, patch = [], words = [];
  for (const [key, change, word] of [["at", dot(by, unit), `along the ${panel}`], ["in", dot(by, edge.out), `in from the ${panel}`]]) {
    if (Math.abs(change) < tape.graduation_mm / 2) continue;
    patch.push({ op: "replace", path: `/hardware/${index}/along/${key}`, value: asWritten(reading(to[key], tape), tape) });
    words.push(`${said(to[key], tape)} ${word}`);
  }
  return patch.length ? { patch, to, says: `Move ${entry.name} to ${words.join(" and ")}` } : null;
}

/* A reading as the file has others: a bare number where it may be one. */
export const asWritten = (text, tape) => (tape.system === "metric" ? Number(text) : text);

export function placed(face, panels, at, tape) {
  return Object.fromEntries(panels.map((panel) => [panel, asWritten(reading(inside(edgeOf(face, panel), at), tape), tape)]));
}

/* The two straight edges that a new piece of hardware is measured from: the nearest, and the nearest
   of those that are well across it. */
export function nearestEdges(face, at) {
  const all = face.edges.filter((edge) => edge.straight && face.edges.filter((other) =>
    panelOf(other, face) === panelOf(edge, face)).length === 1)
    .map((edge) => ({ edge, panel: panelOf(edge, face), far: inside(edge, at) })).sort((one, other) => one.far - other.far);
  const first = all[0], second = all.find((each) => Math.abs(dot(each.edge.out, first.edge.out)) < 0.5);
  return second ? [first.panel, second.panel] : [];
}

/* The move in steps of the graduation, square to what the hardware is measured from where it can be. */
export function stepped(by, tape) {
  return by.map((value) => Math.round(value / tape.graduation_mm) * tape.graduation_mm);
}
