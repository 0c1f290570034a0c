/* Drawing a profile by clicking its corners on ruled paper. Straight sides; a click near the first
   corner closes it. By keyboard: the arrow keys move the cross (with shift ten squares), Enter sets
   a corner, Backspace takes the last one back, Escape gives up.

   pen({ tape, view, done(points, boards), left() }) -> { el, tools }  points counter-clockwise, mm, such that
   the first side is the one that looks down.                                                     */
import { drawing } from "../drawing.js";
import { fill, h } from "../dom.js";
import { icon } from "../icons.js";
import { said } from "../said.js";
import { BOARDS, CALLED, shaped, SHAPES } from "./shapes.js";
import { area, isSimple } from "./sketch.js";

const NEAR = 22; // px, of the first corner
const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

export function pen({ tape, view, done, left }) {
  const inch = tape.system === "inch";
  const step = inch ? 25.4 : 10, rule = inch ? 6 * 25.4 : 100;
  const wide = rule * (inch ? 10 : 16), high = rule * (inch ? 13 : 20);
  const paper = drawing({ label: "Ruled paper: click the corners one after another, or use the arrow keys and Enter",
    margin: 0.03, role: "application" });
  const told = h("p", { role: "status" }), tools = h("div", { class: "bar-of-tools" });
  let corners = [], cross = [rule * 2, rule * 2], shown = false;

  paper.frame(0, 0, wide, high);
  const grid = [];
  for (let x = 0; x <= wide + 1; x += rule) grid.push(h("line", { x1: x, y1: 0, x2: x, y2: -high, class: "rule" }));
  for (let y = 0; y <= high + 1; y += rule) grid.push(h("line", { x1: 0, y1: -y, x2: wide, y2: -y, class: "rule" }));
  const lines = h("path", { class: "outline" }), rubber = h("path", { class: "dash" }), spots = h("g");
  const mark = h("path", { class: "cross" });
  fill(paper.below, grid, h("path", { d: `M0 0H${wide}`, class: "outline floor" }));
  fill(paper.over, lines, rubber, spots, mark);

  const snapped = ([x, y]) => {
    let at = [x, y].map((each) => Math.round(each / step) * step);
    const last = corners.at(-1);
    if (last) at = at.map((each, axis) => (Math.abs(each - last[axis]) < Math.min(paper.px(10), 2.5 * step) ? last[axis] : each));
    return [Math.max(0, Math.min(wide, at[0])), Math.max(0, Math.min(high, at[1]))];
  };
  const same = ([x, y], [u, v]) => Math.abs(x - u) < step / 2 && Math.abs(y - v) < step / 2;
  const d = (points) => (points.length ? `M${points.map(([x, y]) => `${x} ${-y}`).join("L")}` : "");

  function set(at) {
    if (corners.length > 2 && Math.hypot(at[0] - corners[0][0], at[1] - corners[0][1]) < paper.px(NEAR)) return close();
    if (corners.some((each) => same(each, at))) return;
    corners = [...corners, at];
    draw();
  }
  function back() {
    corners = corners.slice(0, -1);
    draw();
  }
  function close() {
    if (!isSimple(corners)) {
      told.textContent = corners.length < 3 ? "Three corners at least." : "Two sides cross. Take the last corner back.";
      return;
    }
    done(ordered(corners));
  }
  /* Counter-clockwise, starting with the side that looks down most. */
  function ordered(clicked) {
    const points = area(clicked) > 0 ? clicked : [...clicked].reverse();
    const down = points.map(([x, y], at) => {
      const [u, v] = points[(at + 1) % points.length];
      return { at, flat: u - x > Math.abs(v - y), low: (y + v) / 2, long: u - x };
    }).sort((a, b) => b.flat - a.flat || a.low - b.low || b.long - a.long)[0].at;
    const turned = [...points.slice(down), ...points.slice(0, down)], [x, y] = turned[0];
    return turned.map(([u, v]) => [u - x, v - y]);
  }
  function draw() {
    lines.setAttribute("d", d(corners));
    const size = paper.px(7);
    fill(spots, corners.map(([x, y], at) => h("circle", { cx: x, cy: -y, r: at ? size : size * 1.5,
      class: at ? "corner" : "handle" })));
    const last = corners.at(-1), arm = paper.px(12);
    rubber.setAttribute("d", shown && last ? d([last, cross]) : "");
    mark.setAttribute("d", shown ? `M${cross[0] - arm} ${-cross[1]}h${2 * arm}M${cross[0]} ${-cross[1] - arm}v${2 * arm}` : "");
    const high1 = view === "plan" ? "back" : "up";
    told.textContent = !corners.length ? "Click the lower front corner, then go round."
      : shown && !same(last, cross) ? `${said(Math.abs(cross[0] - last[0]), tape)} along, ${said(Math.abs(cross[1] - last[1]), tape)} ${high1}`
        : corners.length < 3 ? "Go on to the next corner." : "Click the first corner to close it.";
    fill(tools,
      corners.length > 0 && h("button", { type: "button", class: "main", disabled: corners.length < 3, data_key: "pen-close", onclick: close },
        icon("tick"), "Close it"),
      corners.length > 0 && h("button", { type: "button", class: "tool", data_key: "pen-back", aria_label: "Take the last corner back",
        title: "Take the last corner back", onclick: back }, icon("undo")),
      h("button", { type: "button", data_key: "pen-leave", onclick: left }, "Leave it"),
      corners.length ? null : Object.keys(SHAPES).map((name) => h("button", { type: "button", class: "tool", data_key: `pen-${name}`,
        aria_label: `${CALLED[name]}, to begin with`, title: CALLED[name], onclick: () => done(shaped(name, tape), BOARDS[name]) }, drawn(name))));
  }
  /* A shape as an icon: as high or as wide as 20 of 24. */
  function drawn(name) {
    const all = SHAPES[name], size = 20 / Math.max(...all.flat());
    return h("svg", { class: "icon", viewBox: "0 0 24 24", aria_hidden: "true" }, h("path", {
      d: `M${all.map(([x, y]) => `${(x * size + 2).toFixed(1)} ${(22 - y * size).toFixed(1)}`).join("L")}Z` }));
  }
  paper.svg.addEventListener("pointermove", (event) => {
    cross = snapped(paper.mm(event));
    shown = true;
    draw();
  });
  paper.svg.addEventListener("click", (event) => {
    cross = snapped(paper.mm(event));
    shown = true;
    const raw = paper.mm(event);
    const first = corners[0];
    if (corners.length > 2 && Math.hypot(raw[0] - first[0], raw[1] - first[1]) < paper.px(NEAR)) return close();
    set(cross);
  });
  paper.svg.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const way = WAYS[event.key];
    if (way) cross = cross.map((each, axis) => Math.max(0, Math.min([wide, high][axis], each + way[axis] * step * (event.shiftKey ? 10 : 1))));
    else if (event.key === "Enter") set(cross);
    else if (event.key === "Backspace") back();
    else if (event.key === "Escape") return left();
    else return;
    shown = true;
    event.preventDefault();
    event.stopImmediatePropagation();
    draw();
  }, true);
  paper.onzoom(draw);
  draw();
  return { el: paper.svg, tools, told };
}
