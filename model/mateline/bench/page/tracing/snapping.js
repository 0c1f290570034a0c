/* Where the pointer is meant to be: on an end, a crossing, a middle, a tangent, a border ... ; else
   on the tape's marks, from the lower left corner of the face.

   snapper(paper) keeps what the paper has; `.at(point, options)` -> { at, kind, edge }
     reach   mm within which something is caught
     from    the last point set, for tangents and what is square
     along   an edge whose direction counts: shift keeps 15 degrees, along or square to it
     turned  whether shift is held;  tape  the cabinet's tape;  free  true for no snapping         */
import { add, crossings, dist, dot, heading, kept, middle, nearest, same, square, sub, times, touching } from "./geometry.js";
import { everyEdge } from "./paper.js";

export const WORDS = { end: "an end", crossing: "a crossing", middle: "the middle", centre: "the middle of a circle",
  tangent: "tangent", square: "square to it", border: "on the line", mark: "on the tape's marks", turn: "at 15\u00b0",
  along: "along the last line", across: "square to the last line", free: "" };
const RANK = ["end", "crossing", "tangent", "square", "middle", "centre", "border"];
const MOST = 3000; // edges whose crossings are all looked for

export function snapper(paper) {
  const edges = everyEdge(paper), spots = [], kinds = { end: [], crossing: [], middle: [], centre: [] };
  const known = new Set();
  const spot = (kind, at, e) => {
    const key = `${at[0].toFixed(3)},${at[1].toFixed(3)}`;
    if (known.has(key)) return;
    known.add(key);
    spots.push({ kind, at, edge: e });
    kinds[kind].push(at);
  };
  for (const e of edges) if (!e.whole) for (const at of [e.a, e.b]) spot("end", at, e);
  if (edges.length <= MOST) {
    const boxes = edges.map(box);
    for (let i = 0; i < edges.length; i += 1) for (let j = i + 1; j < edges.length; j += 1) {
      if (apart(boxes[i], boxes[j])) continue;
      for (const at of crossings(edges[i], edges[j])) spot("crossing", at, edges[i]);
    }
  }
  for (const e of edges) {
    if (e.whole) {
      for (const share of [0, 0.25, 0.5, 0.75]) spot("middle", place4(e, share), e);
    } else spot("middle", e.centre ? nearest(e, middleOf(e)).at : middle(e.a, e.b), e);
    if (e.centre) spot("centre", e.centre, e);
  }

  function at(p, { reach, from = null, last = null, turned = false, tape, free = false, height = paper.height }) {
    if (turned && from) return ruled(p, { reach, from, last });
    if (free) return { at: kept(p), kind: "free", edge: null };
    let best = null;
    const mark = tape.graduation_mm, on = (v) => Math.round(v / mark) * mark;
    /* On a line, where it crosses the tape's marks. */
    const onTape = (e, [x, y]) => {
      if (e.centre) return [x, y];
      const [dx, dy] = sub(e.b, e.a), level = Math.abs(dx) >= Math.abs(dy);
      const share = level ? (on(x) - e.a[0]) / dx : (height - on(height - y) - e.a[1]) / dy;
      return share >= 0 && share <= 1 ? (level ? [on(x), e.a[1] + share * dy] : [e.a[0] + share * dx, height - on(height - y)]) : [x, y];
    };
    const offer = (kind, place, e) => {
      const d = dist(place, p);
      if (d > (kind === "middle" || kind === "centre" ? reach / 2 : reach)) return; // less is meant by them
      const rank = RANK.indexOf(kind), worth = rank < 4 ? 0 : rank;
      if (!best || worth < best.worth || (worth === best.worth && d < best.d - 1e-9)) best = { kind, at: place, edge: e, worth, d };
    };
    for (const each of spots) offer(each.kind, each.at, each.edge);
    for (const e of edges) {
      const near = nearest(e, p);
      if (near.d > reach) continue;
      offer("border", onTape(e, near.at), e);
      if (!from) continue;
      if (e.centre) for (const to of touching(from, e.centre, e.r)) if (nearest(e, to).d < 1e-6) offer("tangent", to, e);
      if (!e.centre && !same(from, near.at)) for (const to of square(from, e)) offer("square", to, e);
    }
    if (best) return { at: kept(best.at), kind: best.kind, edge: best.edge };
    return { at: kept([on(p[0]), height - on(height - p[1])]), kind: "mark", edge: null };
  }
  /* Along the straight edge: at 15 degrees of level, or along or square to the last line. What the
     ray meets on its way is caught. */
  function ruled(p, { reach, from, last }) {
    const rays = [];
    for (let k = 0; k < 24; k += 1) {
      rays.push({ kind: "turn", way: [Math.cos((k * Math.PI) / 12), Math.sin((k * Math.PI) / 12)] });
    }
    if (last) {
      const way = heading(last, same(last.b, from) ? 1 : 0);
      rays.push({ kind: "along", way }, { kind: "along", way: times(way, -1) },
        { kind: "across", way: [-way[1], way[0]] }, { kind: "across", way: [way[1], -way[0]] });
    }
    const towards = sub(p, from), size = Math.hypot(...towards);
    if (size < 1e-9) return { at: kept(from), kind: "turn", edge: null };
    const fit = ({ kind, way }) => dot(way, towards) / size + (kind === "turn" ? 0 : 0.004);
    const ray = rays.reduce((one, other) => (fit(other) > fit(one) ? other : one));
    const along = Math.max(0, dot(ray.way, towards)), end = add(from, times(ray.way, along));
    const whole = { a: from, b: add(from, times(ray.way, along + reach)), bulge: 0, centre: null };
    let best = null;
    if (along > 0) for (const e of edges) for (const to of crossings(whole, e)) {
      const d = dist(to, end);
      if (d <= reach && !same(to, from) && (!best || d < best.d)) best = { at: to, d, edge: e };
    }
    return { at: kept(best ? best.at : end), kind: ray.kind, edge: best?.edge || null };
  }
  /* The next place in a direction that something is caught at: for the keyboard. */
  function next(p, way) {
    let best = null;
    for (const { at: to } of spots) {
      const off = sub(to, p), ahead = dot(off, way);
      if (ahead <= 1e-6) continue;
      const worth = ahead + 2 * Math.abs(off[0] * way[1] - off[1] * way[0]);
      if (!best || worth < best.worth) best = { to, worth };
    }
    return best?.to || null;
  }
  return { at, next, edges, spots };
}
const middleOf = (e) => {
  const angle = e.first + e.turn / 2;
  return [e.centre[0] + e.r * Math.cos(angle), e.centre[1] + e.r * Math.sin(angle)];
};
const place4 = (e, share) => [e.centre[0] + e.r * Math.cos(share * 2 * Math.PI), e.centre[1] + e.r * Math.sin(share * 2 * Math.PI)];
function box(e) {
  if (e.centre) return [e.centre[0] - e.r, e.centre[1] - e.r, e.centre[0] + e.r, e.centre[1] + e.r];
  return [Math.min(e.a[0], e.b[0]), Math.min(e.a[1], e.b[1]), Math.max(e.a[0], e.b[0]), Math.max(e.a[1], e.b[1])];
}
const apart = (a, b) => a[2] < b[0] || b[2] < a[0] || a[3] < b[1] || b[3] < a[1];
