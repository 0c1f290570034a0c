/* The cabinet where a browser has no WebGL: flat projections of its facets in an SVG, turned step by
   step. It has what the painter has (exports/jobbook/painter.js), so that a view knows no difference.

   stillPainter(svg, scene, skins)   skins: face -> {data, fill(piece)}                              */
import { fill, h } from "../dom.js";

const START = { azimuth: -36, elevation: 20, zoom: 1 };
const dot = (one, other) => one[0] * other[0] + one[1] * other[1] + one[2] * other[2];
let count = 0;

export function stillPainter(svg, scene, skins) {
  const view = { ...START }, corners = scene.facets.flatMap((facet) => rows(facet.rim, 3));
  const ends = [0, 1, 2].map((axis) => [Math.min(...corners.map((c) => c[axis])), Math.max(...corners.map((c) => c[axis]))]);
  const centre = ends.map(([low, high]) => (low + high) / 2);
  const reach = Math.hypot(...ends.map(([low, high]) => high - low)) / 2;
  let shown = [], over = false;

  function axes() {
    const [a, e] = [view.azimuth, view.elevation].map((angle) => (angle * Math.PI) / 180);
    const [ca, sa, ce, se] = [Math.cos(a), Math.sin(a), Math.cos(e), Math.sin(e)];
    return [[ca, sa, 0], [-sa * se, ca * se, ce], [sa * ce, -ca * ce, se]];
  }
  const size = () => [svg.clientWidth || 600, svg.clientHeight || 400];
  function lens() {
    const [wide, high] = size();
    return { scale: (view.zoom * Math.min(wide, high)) / (2.08 * reach), wide, high };
  }
  function seen(places) {
    const [right, up] = axes(), { scale, wide, high } = lens();
    return places.map((place) => {
      const from = place.map((value, axis) => value - centre[axis]);
      return [wide / 2 + scale * dot(from, right), high / 2 - scale * dot(from, up)];
    });
  }
  const away = (facet, toward) => rows(facet.rim, 3).reduce((sum, c) => sum + dot(c, toward), 0) / (facet.rim.length / 3);

  function draw() {
    if (over) return;
    const toward = axes()[2], [wide, high] = size();
    svg.setAttribute("viewBox", `0 0 ${wide} ${high}`);
    shown = scene.facets.filter((facet) => dot(facet.normal, toward) > 1e-6)
      .map((facet) => ({ facet, away: away(facet, toward), rim: seen(rows(facet.rim, 3)) }))
      .sort((one, other) => one.away - other.away);
    count += 1;
    fill(svg, shown.map(({ facet, rim }, at) => drawn(facet, rim, `still${count}-${at}`)));
    svg.dataset.drawn = `${view.azimuth} ${view.elevation} ${view.zoom.toFixed(3)}`;
  }
  function drawn(facet, rim, id) {
    const ring = `M${rim.map((spot) => spot.map((v) => v.toFixed(2)).join(" ")).join("L")}Z`;
    const skin = facet.on && skins[facet.face];
    if (!skin) return h("path", { d: ring, fill: facet.kind === "inside" ? "#4a3a22" : facet.paint || scene.wood,
      stroke: "#0005", stroke_width: 1 });
    const matrix = affine(facet, skin.data.height);
    return h("g", {},
      h("clipPath", { id }, h("path", { d: ring })),
      h("g", { clip_path: `url(#${id})` }, h("g", { transform: `matrix(${matrix.map((v) => v.toFixed(5)).join(" ")})` },
        h("path", { d: skin.data.outline, fill: skin.data.base, stroke: skin.data.base, stroke_width: 6 }),
        skin.data.pieces.map((piece) => {
          const colour = skin.fill(piece);
          return colour && h("path", { d: piece.d, fill: colour, fill_rule: "evenodd" });
        }),
        skin.data.holes.map((hole) => h("path", { d: hole.stays ? hole.clear : hole.d, fill: hole.stays ? "#8d949c" : "#1b1d20" })))),
      h("path", { d: ring, fill: "none", stroke: "#0006", stroke_width: 1 }));
  }
  /* What takes the face's picture (y down) to the svg, from the facet's first triangle that has an area. */
  function affine(facet, height) {
    const on = rows(facet.on, 2).map(([x, y]) => [x, height - y]), to = seen(rows(facet.at, 3));
    for (let at = 0; at < on.length; at += 3) {
      const [p, q, r] = on.slice(at, at + 3), [P, Q, R] = to.slice(at, at + 3);
      const whole = (q[0] - p[0]) * (r[1] - p[1]) - (r[0] - p[0]) * (q[1] - p[1]);
      if (Math.abs(whole) < 1e-6) continue;
      const part = (axis) => {
        const u = Q[axis] - P[axis], v = R[axis] - P[axis];
        const a = (u * (r[1] - p[1]) - v * (q[1] - p[1])) / whole;
        const b = (v * (q[0] - p[0]) - u * (r[0] - p[0])) / whole;
        return [a, b, P[axis] - a * p[0] - b * p[1]];
      };
      const [a, c, e] = part(0), [b, d, f] = part(1);
      return [a, b, c, d, e, f];
    }
    return [1, 0, 0, 1, 0, 0];
  }
  function picked(x, y) {
    const hit = [...shown].reverse().find(({ rim }) => inRing([x, y], rim));
    if (!hit?.facet.on || !skins[hit.facet.face]) return null;
    const { data } = skins[hit.facet.face], [a, b, c, d, e, f] = affine(hit.facet, data.height);
    const whole = a * d - b * c;
    if (Math.abs(whole) < 1e-9) return null;
    const u = (d * (x - e) - c * (y - f)) / whole, v = (a * (y - f) - b * (x - e)) / whole;
    return { face: hit.facet.face, x: u, y: data.height - v };
  }
  function look(change) {
    if (change.turn) view.azimuth = ((view.azimuth + change.turn + 540) % 360) - 180;
    if (change.tilt) view.elevation = Math.max(-88, Math.min(88, view.elevation + change.tilt));
    if (change.zoom) view.zoom = Math.max(0.5, Math.min(6, view.zoom * change.zoom));
    Object.assign(view, change.to || {});
    draw();
  }
  draw();
  return { look, picked, redraw: draw, reskin: draw, seen, start: () => look({ to: START }),
    facing: () => axes()[2], view: () => ({ ...view }), done: () => { over = true; } };
}

function rows(flat, wide) {
  const found = [];
  for (let at = 0; at < flat.length; at += wide) found.push(flat.slice(at, at + wide));
  return found;
}
/* Whether a spot is inside a ring: crossings of a ray to the right (Shimrat, 1962). */
function inRing([x, y], ring) {
  let inside = false;
  ring.forEach(([x0, y0], at) => {
    const [x1, y1] = ring[(at + 1) % ring.length];
    if (y0 > y !== y1 > y && x < x0 + ((y - y0) * (x1 - x0)) / (y1 - y0)) inside = !inside;
  });
  return inside;
}
