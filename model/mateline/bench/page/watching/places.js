/* Places of faces in the cabinet, from the scene of GET C/space: each facet that is painted tells
   where three of its face's places are in space.

   placesOf(scene) -> { raised(face, [x, y]) -> [x, y, z], mm, cabinet frame; null without the face
                        outward(face) -> its unit normal;  rims(face) -> [[[x, y, z] ...] ...] }    */
const minus = (a, b) => a.map((value, at) => value - b[at]);
const cross2 = (a, b) => a[0] * b[1] - a[1] * b[0];

export function placesOf(scene) {
  const faces = new Map();
  for (const facet of scene.facets) {
    if (!faces.has(facet.face)) faces.set(facet.face, { cells: [], rims: [], strips: [], normal: null, biggest: 0 });
    const face = faces.get(facet.face);
    if (!facet.on || facet.kind === "inside" || facet.kind === "cut") continue;
    let area = 0;
    for (let at = 0; at < facet.at.length / 3; at += 3) {
      const on = [0, 1, 2].map((step) => facet.on.slice(2 * (at + step), 2 * (at + step) + 2));
      const solid = [0, 1, 2].map((step) => facet.at.slice(3 * (at + step), 3 * (at + step) + 3));
      const whole = cross2(minus(on[1], on[0]), minus(on[2], on[0]));
      if (Math.abs(whole) < 1e-6) continue;
      face.cells.push({ on, solid, whole });
      area += Math.abs(whole);
    }
    const rim = [];
    for (let at = 0; at < facet.rim.length; at += 3) rim.push(facet.rim.slice(at, at + 3));
    (facet.kind === "strip" ? face.strips : face.rims).push(rim);
    if (area > face.biggest) Object.assign(face, { biggest: area, normal: facet.normal });
  }
  /* Shares of the three corners in a place; the least is below 0 outside the triangle. */
  const shares = ({ on, whole }, spot) => [[1, 2], [2, 0], [0, 1]].map(([p, q]) =>
    cross2(minus(on[p], spot), minus(on[q], spot)) / whole);
  function raised(name, spot) {
    let best = null;
    for (const cell of faces.get(name)?.cells || []) {
      const found = shares(cell, spot), least = Math.min(...found) * Math.sqrt(Math.abs(cell.whole));
      if (!best || least > best.least) best = { least, found, cell };
    }
    return best && [0, 1, 2].map((axis) =>
      best.found.reduce((sum, share, at) => sum + share * best.cell.solid[at][axis], 0));
  }
  return { raised, outward: (name) => faces.get(name)?.normal || null,
    rims: (name) => faces.get(name)?.rims || [], names: () => [...faces.keys()] };
}

/* How far a spot is from the stretch a-b; all [x, y] of one plane. */
export function apart(spot, a, b) {
  const way = minus(b, a), long = way[0] ** 2 + way[1] ** 2;
  const share = long ? Math.max(0, Math.min(1, ((spot[0] - a[0]) * way[0] + (spot[1] - a[1]) * way[1]) / long)) : 0;
  return Math.hypot(spot[0] - a[0] - share * way[0], spot[1] - a[1] - share * way[1]);
}
