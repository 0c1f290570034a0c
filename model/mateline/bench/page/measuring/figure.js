/* An outline on paper: its wood, boards, corners with their letters and how sure each is, what was
   measured, and what to measure next.

   figure({ onCorner(name), onEdge(pair), onMove(name, [x, y]) }) -> { el, show(seen) }
   seen: { names, points, path, ellipses, panels: {"A-B": "front"}, view, entries, bad: [labels], slip: {pair, words},
           next: pair, picked: {corner|pair}, movable, nudge (mm) }
   Rings hold a corner nineteen times out of twenty. Where they would not be seen they are drawn
   larger, by a factor that is told (`el` has it as data-larger).                                */
import { drawing } from "../drawing.js";
import { fill, h } from "../dom.js";
import { contains } from "./sketch.js";

const LARGER = [1, 2, 5, 10, 20, 50, 100];
const SEEN = 9; // px: how long the longest ring should be at least, from its middle
const SIDES = { side: ["front", "back"], plan: ["left", "right"], front: ["left", "right"] };

export function figure({ onCorner = () => {}, onEdge = () => {}, onMove = null, margin = 0.17 }) {
  const paper = drawing({ label: "The outline", margin });
  let seen = null, sized = [], live = null, dragged = false; // dragged: the click that follows is none

  const flip = (points) => points.map(paper.toSvg);
  const ring = (points) => `M${flip(points).map(([x, y]) => `${x.toFixed(2)} ${y.toFixed(2)}`).join("L")}Z`;
  const line = (a, b, shape) => {
    const [[x1, y1], [x2, y2]] = flip([a, b]);
    return h("line", { x1, y1, x2, y2, class: shape });
  };
  const place = (name, from = live || seen.points) => from[seen.names.indexOf(name)];
  const isPicked = ([a, b]) => Boolean(seen.picked?.pair) && seen.picked.pair.includes(a) && seen.picked.pair.includes(b);

  function outward(at, points) {
    const many = points.length, [x, y] = points[at];
    const way = [points[(at + many - 1) % many], points[(at + 1) % many]].reduce(([u, v], [a, b]) => {
      const far = Math.hypot(a - x, b - y) || 1;
      return [u - (a - x) / far, v - (b - y) / far];
    }, [0, 0]);
    const far = Math.hypot(...way);
    if (far < 0.05) return [points[(at + 1) % many][1] - y, x - points[(at + 1) % many][0]].map((each) =>
      each / (Math.hypot(points[(at + 1) % many][0] - x, points[(at + 1) % many][1] - y) || 1));
    const [u, v] = [way[0] / far, way[1] / far], reach = 0.01 * (Math.abs(x) + Math.abs(y) + 10);
    return contains(points, [x + u * reach, y + v * reach]) ? [-u, -v] : [u, v];
  }

  function edges(points) {
    return seen.names.map((name, at) => {
      const next = (at + 1) % points.length, pair = [name, seen.names[next]];
      const board = seen.panels[pair.join("-")];
      const [[x1, y1], [x2, y2]] = flip([points[at], points[next]]);
      const act = () => onEdge(pair);
      const bent = seen.curved.includes(pair.join("-")) || seen.curved.includes([...pair].reverse().join("-"));
      return h("g", {}, h("line", { x1, y1, x2, y2, class: `${bent ? "chord" : "edge"}${isPicked(pair) ? " picked" : ""}${seen.bad.includes(pair.join("-"))
        || seen.bad.includes([...pair].reverse().join("-")) ? " bad" : ""}` }),
      touch(points[at], points[next], { tabindex: "0", role: "button", data_key: `edge-${pair.join("-")}`,
        aria_label: `Side ${pair.join("-")}${board ? `, ${board}` : ""}`, onclick: act, onkeydown: pressed(act) }));
    });
  }
  /* A band along a side that a finger can hit; a line would have no size for who can't see it. */
  function touch(a, b, more) {
    const band = h("polygon", { class: "band", ...more });
    const far = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1, out = [(b[1] - a[1]) / far, (a[0] - b[0]) / far];
    sized.push(() => {
      const half = paper.px(13);
      band.setAttribute("points", flip([[a, 1], [b, 1], [b, -1], [a, -1]].map(([[x, y], way]) =>
        [x + out[0] * half * way, y + out[1] * half * way])).map((each) => each.join(",")).join(" "));
    });
    return band;
  }
  function boards(points) {
    return seen.names.map((name, at) => {
      const next = (at + 1) % points.length, board = seen.panels[`${name}-${seen.names[next]}`];
      if (!board) return null;
      const [a, b] = [points[at], points[next]], far = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
      const out = [(b[1] - a[1]) / far, (a[0] - b[0]) / far];
      const text = h("text", { class: "board" }, board);
      sized.push(() => {
        const off = paper.px(-19), [x, y] = paper.toSvg([(a[0] + b[0]) / 2 + out[0] * off, (a[1] + b[1]) / 2 + out[1] * off]);
        const along = (Math.atan2(a[1] - b[1], b[0] - a[0]) * 180) / Math.PI; // as it is drawn, y down
        const turn = along > 90 ? along - 180 : along <= -90 ? along + 180 : along;
        text.setAttribute("font-size", paper.px(14));
        text.setAttribute("transform", `translate(${x} ${y}) rotate(${turn})`);
        text.style.display = far < paper.px(8 * board.length + 24) ? "none" : "";
      });
      return text;
    });
  }
  function lines(points) {
    const many = seen.names.length, index = (name) => seen.names.indexOf(name);
    const isSide = ([a, b]) => [1, many - 1].includes(Math.abs(index(a) - index(b)));
    return seen.entries.filter((each) => each.kind === "distance" && each.names.every((name) => index(name) >= 0)
      && !isSide(each.names)).map((each) => line(place(each.names[0], points), place(each.names[1], points),
      `measured${isPicked(each.names) ? " picked" : ""}${seen.bad.includes(each.label) ? " bad" : ""}`));
  }
  /* What the doubted reading is off by, in the middle of its line. */
  function slip(points) {
    const pair = seen.slip?.pair;
    if (!pair || !pair.every((name) => seen.names.includes(name))) return null;
    const [a, b] = pair.map((name) => place(name, points)), [x, y] = paper.toSvg([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]);
    const text = h("text", { x, y, class: "slip" }, seen.slip.words);
    sized.push(() => text.setAttribute("font-size", paper.px(17)));
    return text;
  }
  function rings(points) {
    const longest = Math.max(0, ...seen.ellipses.map((each) => each?.long || 0));
    if (!longest) return null;
    const shapes = seen.ellipses.map((each, at) => {
      if (!each?.long) return null;
      const [x, y] = paper.toSvg(points[at]);
      const shape = h("ellipse", { cx: x, cy: y, class: "sure", transform: `rotate(${-each.direction_deg} ${x} ${y})` });
      sized.push((larger) => {
        shape.setAttribute("rx", each.long * larger);
        shape.setAttribute("ry", Math.max(each.short * larger, paper.px(0.75)));
      });
      return shape;
    });
    return shapes;
  }
  function corners(points) {
    return seen.names.map((name, at) => {
      const [x, y] = paper.toSvg(points[at]), out = outward(at, points), act = () => {
        if (!dragged) onCorner(name);
        dragged = false;
      };
      const spot = h("circle", { cx: x, cy: y, class: "corner" });
      const room = h("circle", { cx: x, cy: y, fill: "transparent" });
      const text = h("text", { class: "letter" }, name);
      const group = h("g", { class: `spot${seen.picked?.corner === name ? " picked" : ""}`, tabindex: "0", role: "button",
        data_key: `corner-${name}`, aria_label: seen.movable ? `Corner ${name}; arrow keys move it` : `Corner ${name}`,
        aria_pressed: String(seen.picked?.corner === name), onclick: act, onkeydown: pressed(act) }, room, spot, text);
      sized.push(() => {
        spot.setAttribute("r", paper.px(seen.movable ? 9 : 6));
        room.setAttribute("r", paper.px(22));
        const [u, v] = paper.toSvg([points[at][0] + out[0] * paper.px(24), points[at][1] + out[1] * paper.px(24)]);
        text.setAttribute("x", u);
        text.setAttribute("y", v);
        text.setAttribute("font-size", paper.px(22));
      });
      if (seen.movable && onMove) grip(group, name, at);
      return group;
    });
  }
  function grip(group, name, at) {
    const from = seen.points;
    paper.draggable(group, {
      move: (by) => {
        const end = snapped([from[at][0] + by[0], from[at][1] + by[1]]);
        live = from.map((each, other) => (other === at ? end : each));
        lie();
        spotsMove(group, from[at], end);
      },
      end: (by) => {
        const end = snapped([from[at][0] + by[0], from[at][1] + by[1]]), moved = Math.hypot(...by) > 0;
        live = null;
        dragged = moved && Math.hypot(end[0] - from[at][0], end[1] - from[at][1]) > 1e-6;
        if (dragged) return onMove(name, end); // it stays where it was dropped until the answer comes
        lie();
        group.removeAttribute("transform");
      },
      key: (by) => onMove(name, snapped([from[at][0] + by[0] * seen.nudge, from[at][1] + by[1] * seen.nudge])),
    });
  }
  const snapped = (at) => at.map((each) => Math.round(each / seen.nudge) * seen.nudge);
  function spotsMove(group, from, to) {
    group.setAttribute("transform", `translate(${to[0] - from[0]} ${from[1] - to[1]})`);
  }
  const pressed = (act) => (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    act();
  };

  function words(points) {
    const xs = points.map(([x]) => x), ys = points.map(([, y]) => y), middle = (Math.min(...ys) + Math.max(...ys)) / 2;
    return SIDES[seen.view].map((word, last) => {
      const text = h("text", { class: "way" }, word);
      sized.push(() => {
        const off = paper.px(36), [x, y] = paper.toSvg([last ? Math.max(...xs) + off : Math.min(...xs) - off, middle]);
        text.setAttribute("font-size", paper.px(15));
        text.setAttribute("transform", `translate(${x} ${y}) rotate(${last ? 90 : -90})`);
      });
      return text;
    });
  }

  /* What lies under the corners: drawn again while one of them is dragged. */
  function lie() {
    const points = live || seen.points;
    sized = sized.filter((each) => each.stays);
    const wood = h("path", { d: ring(live || !seen.path ? points : seen.path), class: "wood" });
    const curve = h("path", { d: ring(live || !seen.path ? points : seen.path), class: "outline" });
    const next = seen.next && place(seen.next[0], points) && place(seen.next[1], points);
    fill(paper.below, wood, lines(points), seen.path && !live ? curve : null, edges(points), boards(points), words(points), slip(points),
      next && line(place(seen.next[0], points), place(seen.next[1], points), "dash"));
    size();
  }
  function render() {
    if (!seen) return;
    sized = [];
    const points = seen.points;
    const over = [rings(points), corners(points)];
    sized.forEach((each) => { each.stays = true; });
    fill(paper.over, over);
    lie();
  }
  function size() {
    const longest = Math.max(0, ...(seen?.ellipses || []).map((each) => each?.long || 0));
    const larger = LARGER.find((times) => longest * times >= paper.px(SEEN)) || LARGER.at(-1);
    paper.svg.dataset.larger = longest ? larger : "";
    sized.forEach((each) => each(larger));
    paper.svg.dispatchEvent(new CustomEvent("sized"));
  }
  paper.onzoom(() => seen && size());

  return { el: paper.svg, whole: paper.whole, closer: paper.closer, show(next) {
    seen = { ellipses: [], bad: [], curved: [], entries: [], panels: {}, view: "side", nudge: 1, ...next };
    if (!seen.points) return fill(paper.below), fill(paper.over);
    const all = [...seen.points, ...(seen.path || [])];
    paper.frame(Math.min(...all.map(([x]) => x)), Math.min(...all.map(([, y]) => y)),
      Math.max(...all.map(([x]) => x)), Math.max(...all.map(([, y]) => y)));
    render();
  } };
}
