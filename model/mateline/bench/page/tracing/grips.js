/* What is dragged on tracing paper: corners, which all that ends there share, bends, circles, colours.
   `desk` is the view's: { sheet, layers, left, paper, chosen, spot, commit, choose, redraw, words,
   snapFor, say, placeWords, nameOf, mark }.                                                     */
import { h } from "../dom.js";
import * as changes from "./changes.js";
import { dist, kept, place, same } from "./geometry.js";
import { data, edgesOf, isCircle } from "./paper.js";

const grip = (label, at, px, dot, tabindex = "0") => h("g", { tabindex, role: "button", aria_label: label },
  h("circle", { class: "catch", cx: at[0], cy: at[1], r: 12 * px }), dot);
const show = (desk, ...borders) => desk.layers.now.replaceChildren(...borders.map((each) => h("path", { class: "dash", d: data(each) })));
/* Arrow keys move what has the focus by the tape's marks: one edit each. */
const byKeys = (desk, at, put) => (way) => put([at[0] + way[0] * desk.mark(), at[1] - way[1] * desk.mark()]);

export function seedGrip(desk, seed, px) {
  const size = ["choose", "fill"].includes(desk.left.tool) ? 6 : 3; // what is in the way of a line is small
  const dot = h("circle", { class: `seed${desk.chosen.includes(seed.key) ? " picked" : ""}`, cx: seed.at[0], cy: seed.at[1], r: size * px, fill: seed.colour });
  if (desk.left.tool !== "choose") return dot;
  const el = grip(`Colour ${desk.nameOf(seed.colour)}`, seed.at, px, dot);
  const put = (to) => desk.commit("Move a colour", changes.movedSeed(desk.paper, seed.key, to));
  desk.sheet.draggable(el, {
    move(by) {
      dot.setAttribute("cx", seed.at[0] + by[0]);
      dot.setAttribute("cy", seed.at[1] - by[1]);
    },
    end(by) {
      if (by[0] || by[1]) put([seed.at[0] + by[0], seed.at[1] - by[1]]);
      else desk.choose(seed.key, false);
    },
    key: byKeys(desk, seed.at, put) });
  return el;
}

export function nodeGrips(desk, px) {
  const found = [];
  for (const border of desk.paper.borders) for (const e of edgesOf(border)) {
    if (!e.whole) for (const end of [e.a, e.b]) if (!found.some((each) => same(each, end))) found.push(end);
  }
  return found.map((each) => nodeGrip(desk, each, px));
}
function nodeGrip(desk, node, px) {
  const dot = h("circle", { class: "corner", cx: node[0], cy: node[1], r: 4 * px });
  const el = grip(`Corner ${desk.placeWords(node)}`, node, px, dot);
  const meeting = desk.paper.borders.filter((each) => !isCircle(each) && edgesOf(each).some((e) => same(e.a, node) || same(e.b, node)));
  const keys = meeting.map((each) => each.key);
  const put = (to) => desk.commit("Move a corner", changes.movedNode(desk.paper, node, to));
  let to = node;
  desk.sheet.draggable(el, {
    move(by, _, event) {
      const there = desk.snapFor([node[0] + by[0], node[1] - by[1]], event, keys);
      to = by[0] || by[1] ? there.at : node;
      dot.setAttribute("cx", to[0]);
      dot.setAttribute("cy", to[1]);
      show(desk, ...changes.movedNode({ ...desk.paper, borders: meeting }, node, to).borders);
      desk.spot = { ...there, at: to };
      desk.words();
    },
    end() {
      show(desk);
      if (dist(to, node) > 1e-6) put(to);
      else desk.redraw();
    },
    key: byKeys(desk, node, put) });
  return el;
}

/* What bends, sizes and moves a chosen line, arc or circle. */
export function handles(desk, border, px) {
  if (!border || "colour" in border) return [];
  const bends = edgesOf(border).map((e, step) => bendGrip(desk, border, e, step, px));
  return isCircle(border) ? [...bends, middleGrip(desk, border, px)] : bends;
}
function bendGrip(desk, border, e, step, px) {
  const middle = e.whole ? [e.centre[0] + e.r, e.centre[1]] : place(e, 0.5);
  const dot = h("rect", { class: "handle", x: middle[0] - 6 * px, y: middle[1] - 6 * px, width: 12 * px, height: 12 * px });
  const el = grip(e.whole ? "Size of the circle" : "Bend", middle, px, dot);
  const half = desk.mark() / 2, says = e.whole ? "Size a circle" : "Bend a line";
  const sized = (r) => changes.sized(desk.paper, border.key, kept([Math.max(half, r), 0])[0]);
  const made = ({ at, kind }) => {
    if (!e.whole) return changes.bent(desk.paper, border.key, step, at);
    const r = dist(e.centre, at);
    return sized(kind === "mark" ? Math.round(r / half) * half : r);
  };
  let next = null;
  desk.sheet.draggable(el, {
    move(by, _, event) {
      const there = desk.snapFor([middle[0] + by[0], middle[1] - by[1]], event, [border.key]);
      next = made(there);
      show(desk, changes.find(next, border.key));
      desk.spot = there;
      desk.words();
    },
    end(by) {
      show(desk);
      if ((by[0] || by[1]) && next) desk.commit(says, next);
      else desk.redraw();
    },
    key: (way) => desk.commit(says, e.whole ? sized(e.r + (way[0] + way[1]) * half)
      : changes.bent(desk.paper, border.key, step, [middle[0] + way[0] * half, middle[1] - way[1] * half])) });
  return el;
}
function middleGrip(desk, border, px) {
  const dot = h("circle", { class: "handle", cx: border.centre[0], cy: border.centre[1], r: 6 * px });
  const el = grip("Middle of the circle", border.centre, px, dot);
  const put = (to) => desk.commit("Move a circle", changes.movedBorders(desk.paper, [border.key], [to[0] - border.centre[0], to[1] - border.centre[1]]));
  let to = border.centre;
  desk.sheet.draggable(el, {
    move(by, _, event) {
      desk.spot = desk.snapFor([border.centre[0] + by[0], border.centre[1] - by[1]], event, [border.key]);
      to = by[0] || by[1] ? desk.spot.at : border.centre;
      show(desk, { ...border, centre: to });
      desk.words();
    },
    end(by) {
      show(desk);
      if (by[0] || by[1]) put(to);
      else desk.redraw();
    },
    key: byKeys(desk, border.centre, put) });
  return el;
}
