/* Changes of what is on the paper: each gives the paper anew. A node is every end at one place: what
   moves there moves all of them, and ends that lie on a moved line stay on it.                   */
import { add, bulgeLeaving, bulgeThrough, dist, dot, edge, HAIR, heading, kept, middle, nearest, place, same, sub, times, unit } from "./geometry.js";
import { everyEdge, edgesOf, freshKey, isCircle } from "./paper.js";

const replaced = (paper, made) => ({ ...paper, borders: paper.borders.map((each) => made.get(each.key) || each) });
export const find = (paper, key) => paper.borders.find((each) => each.key === key) || paper.seeds.find((each) => each.key === key);
export const drawn = (paper, ...borders) => ({ ...paper, borders: [...paper.borders, ...borders] });
export const coloured = (paper, made, without = []) => ({ ...paper,
  seeds: [...paper.seeds.filter((each) => !without.includes(each.key)), made] });
export function without(paper, keys) {
  const gone = new Set(keys), left = (each) => !gone.has(each.key);
  return { ...paper, borders: paper.borders.filter(left), seeds: paper.seeds.filter(left), marks: paper.marks.filter(left) };
}
const points = (border) => (isCircle(border) ? [] : [border.start, ...border.steps.map((each) => each.to)]);

/* Each place of all borders through `to(point)`; arcs whose ends moved keep their form. */
function carried(paper, to) {
  const made = new Map();
  for (const border of paper.borders) {
    if (isCircle(border)) continue;
    let old = border.start, changed = false;
    const next = (at) => {
      const there = to(at);
      if (there !== at) changed = true;
      return there;
    };
    const start = next(border.start);
    let from = start;
    const steps = border.steps.map((step) => {
      const end = next(step.to), moved = from !== old || end !== step.to;
      old = step.to;
      from = end;
      return moved ? { ...step, to: end, r: null } : step;
    });
    if (changed) made.set(border.key, { ...border, start, steps });
  }
  return followed(paper, replaced(paper, made));
}
/* Ends that lay on a line or arc which moved go with it. */
function followed(before, after) {
  const moved = [];
  for (const border of before.borders) {
    const now = after.borders.find((each) => each.key === border.key);
    if (!now || now === border) continue;
    const there = edgesOf(now);
    edgesOf(border).forEach((e, at) => there[at] && moved.push([e, there[at]]));
  }
  if (!moved.length) return after;
  const ends = everyEdge(before).flatMap((e) => (e.whole ? [] : [e.a, e.b]));
  const to = (at) => {
    const still = ends.some((end) => end === at);
    if (!still) return at;
    for (const [was, is] of moved) {
      const near = nearest(was, at);
      if (near.d <= HAIR && (was.whole || (!same(at, was.a) && !same(at, was.b)))) return kept(place(is, near.share));
    }
    return at;
  };
  const made = new Map();
  for (const border of after.borders) {
    if (isCircle(border)) continue;
    const start = to(border.start), steps = border.steps.map((step) => {
      const end = to(step.to);
      return end === step.to ? step : { ...step, to: end, r: null };
    });
    if (start !== border.start) steps[0] = { ...steps[0], r: null };
    if (start !== border.start || steps.some((step, at) => step !== border.steps[at])) made.set(border.key, { ...border, start, steps });
  }
  return made.size ? replaced(after, made) : after;
}

export const movedNode = (paper, from, to) => carried(paper, (at) => (same(at, from) ? kept(to) : at));
/* Borders by a way, and what ends where they end. */
export function movedBorders(paper, keys, by) {
  const chosen = paper.borders.filter((each) => keys.includes(each.key));
  const ends = chosen.flatMap(points);
  const circles = new Map(chosen.filter(isCircle).map((each) => [each.key, { ...each, centre: kept(add(each.centre, by)) }]));
  return carried(followed(paper, replaced(paper, circles)), (at) => (ends.some((end) => same(end, at)) ? kept(add(at, by)) : at));
}
export const movedSeed = (paper, key, at) => ({ ...paper, seeds: paper.seeds.map((each) => (each.key === key ? { ...each, at: kept(at) } : each)) });
export const painted = (paper, key, colour) => ({ ...paper, seeds: paper.seeds.map((each) => (each.key === key ? { ...each, colour } : each)) });
export const sized = (paper, key, radius) => followed(paper, replaced(paper, new Map([[key, { ...find(paper, key), radius }]])));
/* An arc of one step bent so that it goes through a point. */
export function bent(paper, key, step, through) {
  const border = find(paper, key), e = edgesOf(border)[step];
  const bulge = bulgeThrough(e.a, through, e.b);
  const flat = Math.abs(bulge) * dist(e.a, e.b) / 2 < HAIR ? 0 : bulge;
  return followed(paper, replaced(paper, new Map([[key, { ...border,
    steps: border.steps.map((each, at) => (at === step ? { ...each, bulge: flat, r: null } : each)) }]])));
}
/* One border as two, at the place of it that is nearest to a point. */
export function split(paper, key, point) {
  const border = find(paper, key);
  const near = edgesOf(border).map((e, step) => ({ ...nearest(e, point), e, step })).sort((a, b) => a.d - b.d)[0];
  const at = kept(near.at);
  if (isCircle(border)) {
    const over = kept(place(near.e, (near.share + 0.5) % 1));
    return swapped(paper, border, [one(at, [{ to: over, bulge: 1, r: null }]), one(over, [{ to: at, bulge: 1, r: null }])]);
  }
  if (same(at, border.start) || same(at, border.steps.at(-1).to)) return paper;
  const { e, step, share } = near, bulge = (part) => (e.centre ? Math.tan((e.turn * part) / 4) : 0);
  const first = [...border.steps.slice(0, step)], rest = [...border.steps.slice(step + 1)];
  if (same(at, e.a)) return swapped(paper, border, [one(border.start, first), one(e.a, border.steps.slice(step))]);
  if (same(at, e.b)) return swapped(paper, border, [one(border.start, border.steps.slice(0, step + 1)), one(e.b, rest)]);
  first.push({ to: at, bulge: bulge(share), r: null });
  rest.unshift({ to: e.b, bulge: bulge(1 - share), r: null });
  return swapped(paper, border, [one(border.start, first), one(at, rest)]);
}
const one = (start, steps) => ({ key: freshKey(), name: null, start, steps });
function swapped(paper, border, made) {
  const at = paper.borders.indexOf(border), borders = [...paper.borders];
  borders.splice(at, 1, ...made.map((each, which) => (which ? each : { ...each, name: border.name })));
  return { ...paper, borders };
}
export function backwards(border) {
  const all = points(border);
  return { ...border, start: all.at(-1), steps: border.steps.map((step, at) => ({ ...step, to: all[at], bulge: -step.bulge })).reverse() };
}
/* Two borders that meet as one: one line or one arc where the two lie on it. Of two that lie side by
   side the first stays, and what ended on the other ends on it. */
export function joined(paper, one_, two) {
  const [first, second] = [find(paper, one_), find(paper, two)];
  if (!first || !second || isCircle(first) || isCircle(second)) return onto(paper, first, second);
  let [a, b] = [first, second];
  const end = (border) => border.steps.at(-1).to;
  if (same(a.start, b.start)) a = backwards(a);
  else if (same(a.start, end(b))) [a, b] = [backwards(a), backwards(b)];
  else if (same(end(a), end(b))) b = backwards(b);
  if (!same(end(a), b.start) || (same(a.start, end(b)) && a.steps.length + b.steps.length === 2)) return onto(paper, first, second);
  const steps = [...a.steps, ...b.steps];
  const made = { ...first, start: a.start, steps: steps.length === 2 ? simpler(a.start, steps) : steps };
  return without(replaced(paper, new Map([[first.key, made]])), [second.key]);
}
const STRAIGHT = 0.5; // mm: how far two may leave the one that they become
function simpler(start, [one_, two]) {
  const whole = bulgeThrough(start, one_.to, two.to);
  const arc_ = edge(start, two.to, one_.bulge || two.bulge ? whole : 0);
  const seen = [place(edge(start, one_.to, one_.bulge), 0.5), one_.to, place(edge(one_.to, two.to, two.bulge), 0.5)];
  const near = seen.every((p) => nearest(arc_, p).d <= STRAIGHT);
  return near ? [{ to: two.to, bulge: arc_.bulge, r: null }] : [one_, two];
}
function onto(paper, first, second) {
  const target = edgesOf(first), gone = points(second);
  const left = without(paper, [second.key]);
  const ends = gone.length ? gone : [];
  return carried(left, (at) => {
    if (!ends.some((end) => same(end, at)) && !edgesOf(second).some((e) => nearest(e, at).d <= HAIR)) return at;
    if (target.some((e) => nearest(e, at).d <= HAIR)) return at;
    const near = target.map((e) => nearest(e, at)).sort((p, q) => p.d - q.d)[0];
    return kept(near.at);
  });
}

/* ---- made true. A line by its key; ends move, and what is there with them. */
const ends = (border) => [border.start, border.steps.at(-1).to];
function straightened(paper, key, a, b) {
  const border = find(paper, key), [from, to] = ends(border);
  const moved = carried(paper, (at) => (same(at, from) ? kept(a) : same(at, to) ? kept(b) : at));
  const now = find(moved, key);
  return replaced(moved, new Map([[key, { ...now, steps: [{ to: now.steps.at(-1).to, bulge: 0, r: null }] }]]));
}
export function level(paper, key) {
  const [a, b] = ends(find(paper, key)), y = (a[1] + b[1]) / 2;
  return straightened(paper, key, [a[0], y], [b[0], y]);
}
export function plumb(paper, key) {
  const [a, b] = ends(find(paper, key)), x = (a[0] + b[0]) / 2;
  return straightened(paper, key, [x, a[1]], [x, b[1]]);
}
export const straight = (paper, key) => straightened(paper, key, ...ends(find(paper, key)));
/* Parallel to another line: turned about its own middle, as long as it was. */
export function parallel(paper, key, other) {
  const [a, b] = ends(find(paper, key)), [c, d] = ends(find(paper, other));
  const centre = middle(a, b), half = dist(a, b) / 2, way = unit(sub(d, c));
  const side = dot(way, sub(b, a)) < 0 ? -1 : 1;
  return straightened(paper, key, add(centre, times(way, -half * side)), add(centre, times(way, half * side)));
}
/* Tangent where the two meet: the arc of the two bends so that it leaves as the other comes. */
export function tangent(paper, key, other) {
  const pair = [find(paper, key), find(paper, other)];
  if (pair.some(isCircle)) return null;
  const meet = ends(pair[0]).find((end) => ends(pair[1]).some((there) => same(end, there)));
  if (!meet) return null;
  const bows = (border) => (border.steps.length === 1 ? border.steps[0].bulge !== 0 : false);
  const [bow, guide] = bows(pair[0]) || !bows(pair[1]) ? pair : [pair[1], pair[0]];
  if (bow.steps.length !== 1) return null;
  const e = edgesOf(guide), atEnd = same(guide.steps.at(-1).to, meet);
  const way = atEnd ? heading(e.at(-1), 1) : times(heading(e[0], 0), -1); // goes on as the guide comes
  const starts = same(bow.start, meet), far = starts ? bow.steps[0].to : bow.start;
  const bulge = bulgeLeaving(meet, way, far);
  if (!Number.isFinite(bulge) || Math.abs(bulge) > 50) return null;
  return replaced(paper, new Map([[bow.key, { ...bow, steps: [{ ...bow.steps[0], bulge: starts ? bulge : -bulge, r: null }] }]]));
}
