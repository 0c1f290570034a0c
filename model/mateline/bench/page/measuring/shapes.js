/* Starting shapes to draw from, those of bench/shapes.py: corners in inches, right (or back) and up.
   Counter-clockwise, the first side on the floor.                                                */
export const SHAPES = {
  box: [[0, 0], [20, 0], [20, 30], [0, 30]],
  "sloped-top": [[0, 0], [48, 0], [48, 24], [0, 16]],
  wedge: [[0, 0], [14, 0], [14, 24], [8, 24]],
  upright: [[2, 0], [26, 0], [26, 66], [10, 66], [14, 44], [0, 38]],
};
/* What the boards on its sides are called, from its first side on, where it is not by how they look. */
export const BOARDS = { upright: ["bottom", "back", "top", "screen", "deck", "front"] };
export const CALLED = { box: "Box", "sloped-top": "Sloped top", wedge: "Wedge", upright: "Upright" };

/* A shape in mm, its first corner at (0, 0); an inch is 25 mm where the tape is metric, so that
   lengths are round. */
export function shaped(name, tape) {
  const inch = tape.system === "inch" ? 25.4 : 25, [[x, y]] = SHAPES[name];
  return SHAPES[name].map(([u, v]) => [(u - x) * inch, (v - y) * inch]);
}
