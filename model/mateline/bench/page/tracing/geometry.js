/* Lines and circular arcs on tracing paper. mm, y DOWN, as in a borders file.

   point   [x, y]
   bulge   of an arc from a to b: the tangent of a quarter of its turn; 0 for a line, 1 for half a
           circle, above 0 where it turns to the right as one walks (SVG's sweep 1)
   edge    { a, b, bulge, centre, r, first, turn, owner, step }: one line or arc, with where it is
           from; centre is null for a line; a whole circle is { ..., whole: true }               */
export const HAIR = 0.05; // mm: what is nearer than this is one place (as drawing/borders joins it)
const TAU = 2 * Math.PI, FINE = 1e6;

export const dist = ([x, y], [u, v]) => Math.hypot(u - x, v - y);
export const add = ([x, y], [u, v]) => [x + u, y + v];
export const sub = ([x, y], [u, v]) => [x - u, y - v];
export const times = ([x, y], k) => [x * k, y * k];
export const dot = ([x, y], [u, v]) => x * u + y * v;
export const cross = ([x, y], [u, v]) => x * v - y * u;
export const middle = (a, b) => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
export const unit = (v) => times(v, 1 / Math.hypot(...v));
export const same = (a, b) => dist(a, b) <= HAIR;
/* A place as it is kept: to a nanometre. */
export const kept = ([x, y]) => [Math.round(x * FINE) / FINE + 0, Math.round(y * FINE) / FINE + 0];
const modulo = (angle) => ((angle % TAU) + TAU) % TAU;

/* ---- edges */
export function edge(a, b, bulge = 0, from = {}) {
  const chord = dist(a, b);
  if (!bulge || chord === 0) return { a, b, bulge: 0, centre: null, ...from };
  const r = (chord * (1 + bulge * bulge)) / (4 * Math.abs(bulge));
  const off = (chord / 2) * ((1 - bulge * bulge) / (2 * bulge));
  const normal = [-(b[1] - a[1]) / chord, (b[0] - a[0]) / chord];
  const centre = add(middle(a, b), times(normal, off));
  return { a, b, bulge, centre, r, first: Math.atan2(a[1] - centre[1], a[0] - centre[0]),
    turn: 4 * Math.atan(bulge), ...from };
}
export const circleEdge = (centre, r, from = {}) => ({ a: [centre[0] + r, centre[1]],
  b: [centre[0] + r, centre[1]], bulge: Infinity, centre, r, first: 0, turn: TAU, whole: true, ...from });
export const length = (e) => (e.centre ? e.r * Math.abs(e.turn) : dist(e.a, e.b));
export const on = (centre, r, angle) => [centre[0] + r * Math.cos(angle), centre[1] + r * Math.sin(angle)];
export function place(e, share) {
  return e.centre ? on(e.centre, e.r, e.first + share * e.turn)
    : [e.a[0] + share * (e.b[0] - e.a[0]), e.a[1] + share * (e.b[1] - e.a[1])];
}
/* Where an edge is nearest to a point: { share, at, d }. */
export function nearest(e, p) {
  let share;
  if (!e.centre) {
    const along = sub(e.b, e.a), size = dot(along, along);
    share = size ? Math.max(0, Math.min(1, dot(sub(p, e.a), along) / size)) : 0;
  } else {
    const way = Math.sign(e.turn), whole = Math.abs(e.turn);
    const angle = modulo(way * (Math.atan2(p[1] - e.centre[1], p[0] - e.centre[0]) - e.first));
    share = angle / whole;
    if (angle > whole) share = angle - whole < TAU - angle ? 1 : 0;
  }
  const at = place(e, share);
  return { share, at, d: dist(at, p) };
}
/* The direction in which an edge runs at a share of it, a unit vector. */
export function heading(e, share) {
  if (!e.centre) return unit(sub(e.b, e.a));
  const angle = e.first + share * e.turn, way = Math.sign(e.turn);
  return [-way * Math.sin(angle), way * Math.cos(angle)];
}

/* ---- arcs from what a person knows of them */
export function bulgeThrough(a, p, b) {
  const u = sub(a, p), v = sub(b, p);
  const turned = cross(u, v);
  const at = Math.abs(Math.atan2(turned, dot(u, v)));
  if (!turned || !Number.isFinite(at)) return 0;
  return -Math.sign(turned) * Math.tan((2 * Math.PI - 2 * at) / 4);
}
/* The bulge of the arc of radius r from a to b: the short way or the long one, turning as `side`. */
export function bulgeOf(a, b, r, large, side) {
  const half = dist(a, b) / 2;
  if (half >= r) return side;
  const deep = Math.sqrt(r * r - half * half);
  return side * ((large ? r + deep : r - deep) / half);
}
export const flags = (bulge) => ({ large: Math.abs(bulge) > 1, sweep: bulge > 0 });
/* The bulge of the arc that leaves a in a direction and ends in b. */
export function bulgeLeaving(a, direction, b) {
  const chord = sub(b, a);
  return Math.tan(Math.atan2(cross(direction, chord), dot(direction, chord)) / 2);
}

/* ---- where edges cross, and tangents */
export function crossings(e, f) {
  const found = e.centre && f.centre ? ofCircles(e, f) : e.centre ? ofLineAndCircle(f, e)
    : f.centre ? ofLineAndCircle(e, f) : ofLines(e, f);
  return found.filter((p) => nearest(e, p).d < 1e-6 && nearest(f, p).d < 1e-6);
}
function ofLines(e, f) {
  const u = sub(e.b, e.a), v = sub(f.b, f.a), across = cross(u, v);
  if (Math.abs(across) <= 1e-12 * Math.hypot(...u) * Math.hypot(...v)) return [];
  return [add(e.a, times(u, cross(sub(f.a, e.a), v) / across))];
}
function ofLineAndCircle(line, arc) {
  const u = unit(sub(line.b, line.a)), along = dot(sub(arc.centre, line.a), u);
  const foot = add(line.a, times(u, along)), far = dist(foot, arc.centre);
  if (far > arc.r) return far < arc.r + 1e-6 ? [foot] : [];
  const half = Math.sqrt(arc.r * arc.r - far * far);
  return [add(foot, times(u, -half)), add(foot, times(u, half))];
}
function ofCircles(e, f) {
  const apart = dist(e.centre, f.centre);
  if (apart < 1e-9 || apart > e.r + f.r + 1e-6 || apart < Math.abs(e.r - f.r) - 1e-6) return [];
  const u = unit(sub(f.centre, e.centre));
  const along = (apart * apart + e.r * e.r - f.r * f.r) / (2 * apart);
  const half = Math.sqrt(Math.max(0, e.r * e.r - along * along));
  const foot = add(e.centre, times(u, along));
  return [[-u[1], u[0]], [u[1], -u[0]]].map((n) => add(foot, times(n, half)));
}
/* Where lines from p touch a circle. */
export function touching(p, centre, r) {
  const far = dist(p, centre);
  if (far <= r) return [];
  const spread = Math.acos(r / far), angle = Math.atan2(p[1] - centre[1], p[0] - centre[0]);
  return [on(centre, r, angle + spread), on(centre, r, angle - spread)];
}
/* Where the line through p square to an edge meets it. */
export function square(p, e) {
  const u = unit(sub(e.b, e.a)), at = add(e.a, times(u, dot(sub(p, e.a), u)));
  return nearest(e, at).d < 1e-6 ? [at] : [];
}
/* The two middles of circles of radius r through a and b. */
export function centresThrough(a, b, r) {
  const half = dist(a, b) / 2;
  if (!half || half > r) return [];
  const deep = Math.sqrt(r * r - half * half), [x, y] = unit(sub(b, a));
  return [1, -1].map((side) => add(middle(a, b), [-y * deep * side, x * deep * side]));
}
