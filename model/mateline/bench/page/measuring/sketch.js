/* A profile as it was clicked: corners in mm, x right and y up in the carcase's view, and what the
   definition says of it. Pure: no page, no server.

   sketch    [{ name, at: [x, y] }], counter-clockwise, the first one at the origin of the outline
   points    the definition's [outline.points]: corners as they were drawn, until one is measured
   about     its rough lengths: what is left of a drawing once readings are typed, so that the page
             can still show it                                                                     */
import { mmOf, word } from "../said.js";

export const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ".split("");
export const nextLetter = (names) => LETTERS.find((each) => !names.includes(each))
  || `P${names.length + 1}`;

export const apart = ([x, y], [u, v]) => Math.hypot(u - x, v - y);
export const area = (points) => points.reduce((sum, [x, y], at) => {
  const [u, v] = points[(at + 1) % points.length];
  return sum + (x * v - u * y) / 2;
}, 0);
const cross = ([ax, ay], [bx, by], [cx, cy]) => (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);

/* Whether no two sides of the ring cross or touch. */
export function isSimple(points) {
  const many = points.length;
  for (let one = 0; one < many; one += 1) {
    for (let two = one + 1; two < many; two += 1) {
      if (two === one + 1 || (one === 0 && two === many - 1)) continue;
      const [a, b, c, d] = [points[one], points[one + 1], points[two], points[(two + 1) % many]];
      if (cross(a, b, c) * cross(a, b, d) <= 0 && cross(c, d, a) * cross(c, d, b) <= 0) return false;
    }
  }
  return many > 2 && Math.abs(area(points)) > 1;
}
/* Names of corners that are over 180 degrees inside. */
export const reflexOf = (names, points) => names.filter((_, at) => cross(
  points.at(at - 1), points[at], points[(at + 1) % points.length]) < 0);

/* Whether the line between two corners stays on the wood. */
export function across(points, one, two) {
  const [a, b] = [points[one], points[two]];
  for (let at = 0; at < points.length; at += 1) {
    const next = (at + 1) % points.length;
    if ([one, two].includes(at) || [one, two].includes(next)) continue;
    const [c, d] = [points[at], points[next]];
    if (cross(a, b, c) * cross(a, b, d) < 0 && cross(c, d, a) * cross(c, d, b) < 0) return false;
  }
  return contains(points, [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]);
}
export function contains(points, [x, y]) {
  return points.reduce((inside, [ax, ay], at) => {
    const [bx, by] = points[(at + 1) % points.length];
    return (ay > y) !== (by > y) && x < ((bx - ax) * (y - ay)) / (by - ay) + ax ? !inside : inside;
  }, false);
}

/* Boards for the edges of a ring, by the way each looks: front, back, top, bottom of a side view. */
const LOOKS = { side: ["back", "top", "front", "bottom"], front: ["right", "top", "left", "bottom"],
  plan: ["right", "back", "left", "front"] };
export function panelsFor(names, points, view) {
  const many = points.length, found = {}, taken = new Set();
  const looking = points.map(([x, y], at) => {
    const [u, v] = points[(at + 1) % many];
    return { edge: `${names[at]}-${names[(at + 1) % many]}`, long: Math.hypot(u - x, v - y),
      way: Math.round(Math.atan2(x - u, v - y) / (Math.PI / 2)) & 3 };
  });
  const best = {};
  looking.forEach((each) => { if (!(best[each.way]?.long >= each.long)) best[each.way] = each; });
  // The front first: which of two boards lies over the other goes by their order, and its face is
  // the one that people stand before.
  const front = looking.findIndex((each) => best[each.way] === each && LOOKS[view][each.way] === "front");
  const walk = front > 0 ? [...looking.slice(front), ...looking.slice(0, front)] : looking;
  for (const each of walk) {
    const stem = LOOKS[view][each.way];
    let name = stem;
    for (let number = 2; best[each.way] !== each && (taken.has(name) || name === stem); number += 1) name = `${stem}-${number}`;
    taken.add(name);
    found[name] = { edge: each.edge };
  }
  return found;
}

/* The rough lengths that hold a ring: its sides, and from each corner to the next but one. */
export function pairsOf(names) {
  const many = names.length;
  const sides = names.map((name, at) => [name, names[(at + 1) % many]]);
  const over = many > 3 ? names.map((name, at) => [name, names[(at + 2) % many]]) : [];
  const seen = new Set();
  return [...sides, ...over].filter(([a, b]) => {
    const key = [a, b].sort().join();
    return !seen.has(key) && seen.add(key);
  });
}
export function aboutOf(names, points, tape, times = 1) {
  const place = new Map(names.map((name, at) => [name, points[at]]));
  return Object.fromEntries(pairsOf(names).map(([a, b]) => [`${a}-${b}`,
    word(Math.max(apart(place.get(a), place.get(b)) * times, tape.graduation_mm), tape)]));
}

/* Where corners roughly are: from rough lengths ({"A-B": mm}) each corner from the two before it, then
   eased towards those that were read. Null where lengths are missing. */
export function placed(names, rough, read, reflex = []) {
  const many = names.length, lengths = { ...read, ...rough };
  const length = (a, b) => lengths[`${a}-${b}`] ?? lengths[`${b}-${a}`];
  if (many < 3 || length(names[0], names[1]) === undefined) return null;
  const points = [[0, 0], [length(names[0], names[1]), 0]];
  for (let at = 2; at < many; at += 1) {
    const [one, two] = [names[at - 2], names[at - 1]], [p, q] = points.slice(-2);
    const [r, s] = [length(one, names[at]), length(two, names[at])], base = apart(p, q);
    if (r === undefined || s === undefined || !base) return null;
    const along = (base * base + r * r - s * s) / (2 * base);
    const up = Math.sqrt(Math.max(0, r * r - along * along)) * (reflex.includes(two) ? -1 : 1);
    const [ux, uy] = [(q[0] - p[0]) / base, (q[1] - p[1]) / base];
    points.push([p[0] + ux * along - uy * up, p[1] + uy * along + ux * up]);
  }
  return eased(names, points, [[rough, 1], [read, READ]]);
}
/* Each corner goes a little towards where each length has it (SMACOF's step), 300 times. */
const READ = 30; // how much more a reading weighs than a rough length
function eased(names, start, tables) {
  const at = new Map(names.map((name, index) => [name, index]));
  const ties = tables.flatMap(([lengths, weight]) => Object.entries(lengths).map(([key, mm]) =>
    [...key.split("-").map((name) => at.get(name)), mm, weight])).filter(([a, b]) => a !== undefined && b !== undefined);
  const points = start.map((each) => [...each]);
  for (let step = 0; step < 300; step += 1) {
    const sum = points.map(() => [0, 0, 0]);
    for (const [a, b, mm, weight] of ties) {
      const far = apart(points[a], points[b]) || 1e-9;
      for (const [one, two] of [[a, b], [b, a]]) {
        for (const axis of [0, 1]) {
          sum[one][axis] += weight * (points[two][axis] + ((points[one][axis] - points[two][axis]) * mm) / far);
        }
        sum[one][2] += weight;
      }
    }
    sum.forEach(([x, y, many], index) => { if (many) points[index] = [x / many, y / many]; });
  }
  return framed(points);
}
/* The same ring as an outline lies: its first corner at the origin, its second one on +x. */
export function framed(points) {
  const [[x, y], [u, v]] = points, far = Math.hypot(u - x, v - y) || 1;
  const [c, s] = [(u - x) / far, (v - y) / far];
  return points.map(([a, b]) => [(a - x) * c + (b - y) * s, (b - y) * c - (a - x) * s]);
}

/* The corners that a carcase has in the definition, whether they are stated, sketched or half
   measured; null where nothing says. `measured` is its outline table. */
export function sketchOf(names, measured, tape, measures) {
  if (!measured) return null;
  if (measured.points && names.every((name) => measured.points[name])) {
    const points = names.map((name) => measured.points[name].map((each) => mmOf(each, tape, measures)));
    return points.flat().includes(null) ? null : points;
  }
  const lengthsOf = (table) => Object.fromEntries(Object.entries(table || {}).flatMap(([key, value]) => {
    const mm = mmOf(Array.isArray(value) ? value[0] : value, tape, measures);
    const pair = key.split("-").map((each) => each.trim());
    return mm !== null && pair.length === 2 && pair.every((name) => names.includes(name)) ? [[pair.join("-"), mm]] : [];
  }));
  return placed(names, lengthsOf(measured.about), lengthsOf(measured.readings), measured.reflex || []);
}
