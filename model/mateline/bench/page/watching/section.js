/* A carcase cut across: the outline and its boards as they meet, on paper.

   section({ onboard(name), onedge(corners), oncorner(name) }) -> { svg, show(seen), ...drawing() }
   seen: { names, points, path, boards: [{name, at, thick, back, missing} or null by side], joints: by corner
           {kind, first, inside}, picked: {board, corner, side} }                                     */
import { drawing } from "../drawing.js";
import { fill, h } from "../dom.js";

const cross = (a, b) => a[0] * b[1] - a[1] * b[0];
/* Where two lines meet; null for parallels. Each is [point, way]. */
function meeting([p, u], [q, v]) {
  const whole = cross(u, v);
  if (Math.abs(whole) < 1e-6 * Math.hypot(...u) * Math.hypot(...v)) return null;
  const share = cross([q[0] - p[0], q[1] - p[1]], v) / whole;
  return [p[0] + share * u[0], p[1] + share * u[1]];
}

export function section({ onboard, onside, oncorner }) {
  const paper = drawing({ label: "The carcase cut across, with its boards", margin: 0.2 });
  let seen = null;
  const ring = (points) => `M${points.map(([x, y]) => `${x.toFixed(2)} ${(-y).toFixed(2)}`).join("L")}Z`;

  /* The four corners of a board's section: outside from start to end, inside back. */
  function cut(at) {
    const { points, boards, joints } = seen, many = points.length, own = boards[at];
    const line = (side, deep) => {
      const p = points[side], q = points[(side + 1) % many], way = [q[0] - p[0], q[1] - p[1]];
      const long = Math.hypot(...way) || 1, into = [-way[1] / long * seen.turn, way[0] / long * seen.turn];
      return [[p[0] + into[0] * deep, p[1] + into[1] * deep], way];
    };
    const faces = (side) => [line(side, boards[side]?.back || 0), line(side, (boards[side]?.back || 0) + (boards[side]?.thick || 0))];
    const [out, back] = faces(at);
    const ends = [[(at + many - 1) % many, at], [(at + 1) % many, (at + 1) % many]].map(([side, corner]) => {
      const other = boards[side], joint = joints[corner];
      if (!other || other.missing || !joint) {
        const edge = line(side, 0);
        return [meeting(out, edge) || points[corner], meeting(back, edge) || points[corner]];
      }
      const [otherOut, otherBack] = faces(side);
      const over = joint.kind === "over" && joint.first === own.name, under = joint.kind === "over" && !over;
      return [meeting(out, under ? otherBack : otherOut) || points[corner], meeting(back, over ? otherOut : otherBack) || points[corner]];
    });
    return [ends[0][0], ends[1][0], ends[1][1], ends[0][1]];
  }

  function show(next) {
    seen = next;
    const { names, points, path, boards, picked } = seen;
    const area = points.reduce((sum, p, at) => sum + cross(p, points[(at + 1) % points.length]), 0);
    seen.turn = area > 0 ? 1 : -1;
    const xs = path.map(([x]) => x), ys = path.map(([, y]) => y);
    paper.frame(Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys));
    const size = paper.px(17);
    fill(paper.below, h("path", { class: "hollow", d: ring(path) }),
      boards.map((board, at) => board && !board.missing && board.thick > 0 && !board.curved && h("path", { d: ring(cut(at)),
        class: `section-board${picked.board === board.name ? " picked" : ""}` })),
      h("path", { class: "outline", d: ring(path) }));
    fill(paper.over,
      names.map((name, at) => side(name, at)),
      names.map((name, at) => corner(name, at)),
      boards.map((board, at) => {
        if (!board) return null;
        const [a, b] = [points[at], points[(at + 1) % points.length]], spot = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
        const way = [b[0] - a[0], b[1] - a[1]], long = Math.hypot(...way) || 1;
        const out = [way[1] / long * seen.turn, -way[0] / long * seen.turn], far = paper.px(20) + (Math.abs(out[0]) * paper.px(4.4) * board.name.length);
        return h("text", { class: "board-name", x: spot[0] + out[0] * far, y: -(spot[1] + out[1] * far), font_size: size }, board.name);
      }));
  }
  const ends = (at) => [seen.points[at], seen.points[(at + 1) % seen.points.length]];
  function side(name, at) {
    const [[x1, y1], [x2, y2]] = ends(at), board = seen.boards[at], next = seen.names[(at + 1) % seen.names.length];
    const act = () => (board ? onboard(board.name) : onside(name, next));
    const chosen = board ? seen.picked.board === board.name : seen.picked.side === `${name}-${next}`;
    return h("g", {}, (chosen || !board || board.missing) && h("line", { x1, y1: -y1, x2, y2: -y2, class: chosen ? "edge picked" : "ghost" }),
      h("line", { x1, y1: -y1, x2, y2: -y2, class: "touch", tabindex: "0", role: "button", data_key: `side-${at}`,
        aria_label: board ? `Board ${board.name}, side ${name}-${next}` : `No board on side ${name}-${next}`, onclick: act, onkeydown: pressed(act) }));
  }
  function corner(name, at) {
    const [x, y] = seen.points[at], joint = seen.joints[at], size = paper.px(9), act = () => joint && oncorner(name);
    return h("g", joint ? { class: "joint", tabindex: "0", role: "button", data_key: `corner-${name}`, onclick: act, onkeydown: pressed(act),
      aria_label: `Corner ${name}: ${joint.words}` } : {},
    h("circle", { class: `corner${seen.picked.corner === name ? " chosen" : ""}`, cx: x, cy: -y, r: size }),
    h("circle", { class: "touch-spot", cx: x, cy: -y, r: paper.px(22) }),
    h("text", { class: "letter", x, y: -y, font_size: paper.px(12) }, name));
  }
  paper.onzoom(() => seen && show(seen));
  return { ...paper, show };
}
const pressed = (act) => (event) => {
  if (event.key !== "Enter" && event.key !== " ") return;
  event.preventDefault();
  act();
};
