/* Where hardware would lie clear of borders: the shortest move, in steps of the tape, that leaves all
   holes of an entry within pieces of one colour, with room about them.

   clearOf(face, index, table, tape) -> { by: [dx, dy] mm, said: "1/4″ to the right" } or null     */
import { said } from "../said.js";

const FARTHEST = 50; // mm
const ROUND = 24; // places looked at on each hole's rim

export function clearOf(face, index, table, tape) {
  const holes = face.holes.filter((hole) => hole.index === index);
  if (!holes.length || !face.pieces.length) return null;
  const room = 6.5; // mm: a little more than the least width of a piece, so that none is thin beside it
  const brush = document.createElement("canvas").getContext("2d");
  const pieces = face.pieces.map((piece) => ({ colour: piece.colour, path: new Path2D(piece.d), box: boxOf(piece.d) }));
  const own = holes.map((hole) => new Path2D(hole.clear));
  const rims = holes.map((hole) => rimOf(hole.clear, [hole.at[0], face.height - hole.at[1]], room));
  const colourAt = ([x, y]) => {
    const piece = pieces.find(({ box, path }) => x >= box[0] && x <= box[2] && y >= box[1] && y <= box[3]
      && brush.isPointInPath(path, x, y, "evenodd"));
    if (piece) return piece.colour;
    return own.some((path) => brush.isPointInPath(path, x, y, "evenodd")) ? "own" : null;
  };
  const clear = ([dx, dy]) => rims.every((rim) => {
    const first = new Set();
    for (const [x, y] of rim) {
      const colour = colourAt([x + dx, y - dy]);
      if (colour === null) return false;
      if (colour !== "own") first.add(colour);
      if (first.size > 1) return false;
    }
    return true;
  });
  const step = Math.max(tape.graduation_mm, 1);
  const tries = [];
  for (let far = step; far <= FARTHEST; far += step)
    for (const [x, y] of [[1, 0], [-1, 0], [0, 1], [0, -1], [1, 1], [1, -1], [-1, 1], [-1, -1]])
      tries.push([far * Math.hypot(x, y), [x * far, y * far]]);
  tries.sort((one, other) => one[0] - other[0]);
  const found = tries.find(([, by]) => clear(by));
  if (!found) return null;
  const [, by] = found, words = [];
  if (by[0]) words.push(`${said(Math.abs(by[0]), tape)} to the ${by[0] > 0 ? "right" : "left"}`);
  if (by[1]) words.push(`${said(Math.abs(by[1]), tape)} ${by[1] > 0 ? "up" : "down"}`);
  return { by, said: words.join(" and ") };
}

const numbers = (d) => d.match(/-?\d+(?:\.\d+)?/g).map(Number);
function boxOf(d) {
  const all = numbers(d), x = all.filter((_, at) => at % 2 === 0), y = all.filter((_, at) => at % 2);
  return [Math.min(...x), Math.min(...y), Math.max(...x), Math.max(...y)];
}
/* Places round a hole, `room` outside its rim, and its middle; y down. */
function rimOf(d, [cx, cy], room) {
  const all = numbers(d), rim = [];
  const step = Math.max(1, Math.floor(all.length / 2 / ROUND));
  for (let at = 0; at < all.length; at += 2 * step) {
    const [x, y] = [all[at], all[at + 1]], far = Math.hypot(x - cx, y - cy) || 1;
    rim.push([x + ((x - cx) / far) * room, y + ((y - cy) / far) * room]);
  }
  return [[cx, cy], ...rim];
}
