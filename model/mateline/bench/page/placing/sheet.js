/* A face with the drawings on it. The chosen one is dragged, turned and scaled; that is one edit when
   it ends, and what is dragged stays where it was put until the server has placed it.

   artSheet({ onpick, onput, onpoint, tape, paints }) -> { ...drawing(), show(face, art, entries, picked), pointing(bool) }
     onpick(index)         a drawing was clicked
     onput(index, change)  { by: [dx, dy] mm } or { turn: degrees more } or { scale: times }
     onpoint(at)           while pointing: a place on the face, mm
     paints()              what the palette's names look like                                       */
import { drawing } from "../drawing.js";
import { h } from "../dom.js";
import { onMark } from "../said.js";
import { dragged, facesOf, listOf, wayWords } from "./entries.js";

const SHARES = { left: 0, right: 1, lower: 0, upper: 1 };
const STEP = 0.5, COARSE = 15; // degrees

/* Where the anchor of an entry is on the face. `page` is the drawing's box there: its upper left corner,
   upper right, lower right, lower left. */
export function anchorOf(entry, page) {
  const spot = entry.anchor || "lower-left";
  const across = SHARES[spot.split("-").at(-1)] ?? 0.5, up = SHARES[spot.split("-")[0]] ?? 0.5;
  const [d, , b, a] = page;
  return [0, 1].map((axis) => a[axis] + across * (b[axis] - a[axis]) + up * (d[axis] - a[axis]));
}
/* Where that is measured from: the spot `to` of the face's box. */
export function targetOf(entry, face) {
  const spot = entry.to || "lower-left";
  return [(SHARES[spot.split("-").at(-1)] ?? 0.5) * face.width, (SHARES[spot.split("-")[0]] ?? 0.5) * face.height];
}
export const offsetOf = (entry, page, face) => anchorOf(entry, page).map((value, axis) => value - targetOf(entry, face)[axis]);

export function artSheet({ onpick, onput, onpoint, tape, paints }) {
  const board = drawing({ label: "The face with its drawings", margin: 0.12 });
  const ground = h("path", { class: "ground" }), lying = h("g"), rim = h("path", { class: "rim" }), holes = h("g"), hold = h("g"), marks = h("g");
  const clip = h("clipPath", { id: "art-face" }), clipped = h("path");
  clip.append(clipped);
  const sheet = h("g", {}, h("defs", {}, clip), ground, lying, holes, rim, hold, marks);
  const word = h("p", { class: "said", aria_live: "polite", hidden: true });
  board.below.append(sheet);
  let data = null, art = [], entries = [], picked = null, pointing = false, busy = false, waiting = null, pressed = 0, key = [0, 0];

  function show(face, next, table, chosen) {
    const other = data?.name !== face.name;
    if (waiting && (other || waiting.key !== next.key)) waiting = null;
    // A placement is an entry by its number; what is mirrored is counted on after them.
    const entryOf = ({ index, drawing: name }) => (table[index - 1]?.drawing === name ? index - 1
      : table.some((each) => each.drawing === name && facesOf(each).includes(face.name)) ? table.findIndex((each) => each.drawing === name) : table.findIndex((each) => each.mirror && listOf(each.onto).includes(face.name)));
    [data, art, entries, picked] = [face, next.art.map((each) => ({ ...each, index: entryOf(each) })), table, chosen];
    art.key = next.key;
    sheet.setAttribute("transform", `translate(0 ${-face.height})`);
    for (const el of [ground, rim, clipped]) el.setAttribute("d", face.outline);
    ground.style.fill = face.base || "none";
    board.frame(0, 0, face.width, face.height);
    if (other) board.whole();
    holes.replaceChildren(...face.holes.map((hole) => h("path", { class: `hole${hole.stays ? " stays" : ""}`, d: hole.d })));
    if (!busy) draw();
  }
  const flat = ([x, y]) => [x, data.height - y];
  const path = (points) => `M${points.map((each) => flat(each).join(" ")).join("L")}Z`;

  function draw() {
    const groups = art.map((each) => {
      const g = h("g", { class: `art${each.index === picked ? " picked" : ""}`, data_index: each.index },
        each.shapes.map((shape) => h("path", { d: shape.d, fill: paints()[shape.paint] || shape.paint, fill_rule: "evenodd", data_element: shape.element })));
      g.addEventListener("click", (event) => {
        if (pointing) return;
        event.stopPropagation();
        onpick(each.index);
      });
      return [each, g];
    });
    const inside = groups.map(([each, g]) => (each.index === picked ? g : h("g", { clip_path: "url(#art-face)" }, g)));
    lying.replaceChildren(...inside);
    hold.replaceChildren();
    const chosen = groups.find(([each]) => each.index === picked);
    if (!chosen) return;
    const [placed, g] = chosen, entry = entries[picked];
    if (placed.page) hold.append(h("path", { class: "ghost page", d: path(placed.page) }));
    if (!entry || !placed.page || !dragged(entry, data.name)) return;
    const put = (words) => (transform) => {
      const value = transform ? `translate(0 0) ${transform}` : "";
      g.setAttribute("transform", value);
      hold.querySelectorAll(".page, .handle-of").forEach((el) => el.setAttribute("transform", value));
      say(words());
    };
    if (waiting?.index === picked) put(() => "")(waiting.transform);
    holdMove(g, placed, entry);
    if (!entry.fit || entry.fit === "none") handles(placed, entry, g);
  }
  const say = (words) => {
    word.textContent = words;
    word.hidden = !words;
  };
  const follow = (g, transform) => {
    for (const el of [g, ...hold.children]) el.setAttribute("transform", transform);
  };
  function finish(transform, change) {
    busy = false;
    if (change) {
      waiting = { index: picked, transform, key: art.key };
      onput(picked, change);
    } else follow(lying.querySelector(".picked"), "");
    say("");
  }
  function holdMove(g, placed, entry) {
    const from = offsetOf(entry, placed.page, data);
    g.setAttribute("tabindex", "0");
    g.setAttribute("role", "button");
    g.setAttribute("aria-label", `${placed.drawing}: move it with the arrow keys`);
    const settled = (by) => from.map((value, axis) => onMark(value + by[axis], tape()) - value);
    const transform = (by) => `translate(${by[0]} ${-by[1]})`;
    const words = (by) => wayWords(from.map((value, axis) => value + by[axis]), tape());
    board.draggable(g, {
      start() { busy = true; },
      move(by) {
        const to = by[0] || by[1] ? settled(by) : [0, 0];
        follow(g, transform(to));
        say(words(to));
      },
      end(by) {
        const to = settled(by);
        finish(transform(to), Math.hypot(...by) > board.px(2) ? { by: to, offset: from.map((value, axis) => value + to[axis]) } : null);
      },
      key(way) { // one edit when the keys rest
        key = [key[0] + way[0] * tape().graduation_mm, key[1] + way[1] * tape().graduation_mm];
        const to = settled(key);
        follow(g, transform(to));
        say(words(to));
        clearTimeout(pressed);
        busy = true;
        pressed = setTimeout(() => {
          key = [0, 0];
          finish(transform(to), { by: to, offset: from.map((value, axis) => value + to[axis]) });
        }, 500);
      } });
  }
  /* A square handle scales about the anchor, a round one turns about it. */
  function handles(placed, entry, g) {
    const px = board.px(1), anchor = anchorOf(entry, placed.page), about = flat(anchor);
    const reach = ([x, y]) => Math.hypot(x - anchor[0], y - anchor[1]), most = Math.max(...placed.page.map(reach));
    const far = [1, 0, 2, 3].map((corner) => placed.page[corner]).find((corner) => reach(corner) > most - 1e-3); // upper right, if it is as good
    const [a, b, c, d] = placed.page, half = (p, q) => [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2], top = half(a, b), low = half(c, d);
    const out = Math.hypot(top[0] - low[0], top[1] - low[1]) || 1;
    const knob = [0, 1].map((axis) => top[axis] + ((top[axis] - low[axis]) / out) * 34 * px);
    const held = (at, dot, label, more) => {
      const [x, y] = flat(at);
      const el = h("g", { tabindex: "0", role: "button", aria_label: label }, h("circle", { class: "catch", cx: x, cy: y, r: 22 * px }), dot(x, y));
      board.draggable(el, { start() { busy = true; }, ...more });
      hold.append(el);
    };
    const transform = { scale: (k) => `translate(${about[0]} ${about[1]}) scale(${k}) translate(${-about[0]} ${-about[1]})`,
      turn: (deg) => `rotate(${-deg} ${about[0]} ${about[1]})` };
    const size = Math.hypot(far[0] - anchor[0], far[1] - anchor[1]), old = entry.scale ?? 1;
    const times = (by) => Math.max(0.01, Math.round(((old * Math.hypot(far[0] + by[0] - anchor[0], far[1] + by[1] - anchor[1])) / size) * 100) / 100) / old;
    held(far, (x, y) => h("rect", { class: "handle", x: x - 8 * px, y: y - 8 * px, width: 16 * px, height: 16 * px }), "Scale", {
      move(by) { follow(g, transform.scale(times(by))); say(`${(times(by) * old).toFixed(2)} times its own size`); },
      end(by) { const k = times(by); finish(transform.scale(k), by[0] || by[1] ? { scale: Math.round(k * old * 100) / 100 } : null); },
      key(way) { onput(picked, { scale: Math.max(0.01, Math.round((old + (way[0] + way[1]) * 0.01) * 100) / 100) }); } });
    const angle = (at) => (Math.atan2(at[1] - anchor[1], at[0] - anchor[0]) * 180) / Math.PI, was = entry.turn ?? 0;
    const turned = (by, coarse) => {
      const step = coarse ? COARSE : STEP, to = was + angle([knob[0] + by[0], knob[1] + by[1]]) - angle(knob);
      return Math.round(to / step) * step - was;
    };
    let coarse = false;
    held(knob, (x, y) => h("circle", { class: "handle", cx: x, cy: y, r: 9 * px }), "Turn", {
      move(by, _, event) { coarse = event.shiftKey; const more = turned(by, coarse); follow(g, transform.turn(more)); say(`turned by ${within(was + more)}°`); },
      end(by) { const more = turned(by, coarse); finish(transform.turn(more), by[0] || by[1] ? { turn: within(was + more) } : null); },
      key(way) { onput(picked, { turn: within(was + (way[1] || -way[0]) * STEP) }); } });
  }
  const within = (deg) => { const turn = ((deg % 360) + 360) % 360; return turn > 180 ? turn - 360 : turn; };

  board.onzoom(() => { if (data && !busy) draw(); });
  let lifted = null; // a click's own place is of whole pixels
  board.svg.addEventListener("pointerup", (event) => { lifted = board.mm(event); });
  board.svg.addEventListener("click", (event) => {
    if (!data) return;
    if (pointing) onpoint(lifted || board.mm(event));
    else if (!event.target.closest(".art, .grip")) onpick(null);
  });
  return { ...board, show, word, marks, point: (on) => { pointing = on; board.svg.classList.toggle("pointing", on); if (data) draw(); },
    flat: (at) => flat(at), elementAt: (event) => event.target.closest?.("[data-element]")?.dataset.element };
}
