/* A drawing in mm that pans, zooms and is dragged in. Frame: x right, y UP, as on a face; `toSvg`
   flips it. Wheel and pinch zoom at the pointer, two fingers or the middle button pan, plus, minus,
   0 and the arrow keys do the same where the drawing has the focus.

   drawing({ label, width, height, margin }) -> {
     svg, below, over      the element, and two groups: what lies and what is on top of it
     frame(x0, y0, x1, y1) what is shown at the widest, mm
     toSvg([x, y])         -> [x, y] in the svg's own units (mm, y down)
     mm(event)             -> [x, y] of the pointer
     px(n)                 mm that n pixels are at this zoom: sizes of handles and letters
     onzoom(f)             f() when px changed
     reveal([x, y], wide)  the view goes there, `wide` mm of it
     draggable(el, { start(at, event), move(by, at, event), end(by, at), key(by) })  }
   While something is dragged only what `move` does happens, once a frame; `end` comes once. Escape
   ends it with by = [0, 0]. `key` gets [dx, dy] in steps of 1 (10 with shift) from the arrow keys. */
import { h } from "./dom.js";
import { hold, release } from "./store.js";

const CLOSEST = 60;

export function drawing({ label, margin = 0.06, role = "group" }) {
  const below = h("g"), over = h("g");
  const svg = h("svg", { class: "drawing", tabindex: "0", role, aria_label: label,
    preserveAspectRatio: "xMidYMid meet" }, below, over);
  const all = { x: 0, y: 0, wide: 100, high: 100 }, view = { x: 0, y: 0, k: 1 };
  const fingers = new Map(), hearers = new Set();
  let pan = null, held = null, wait = 0;

  const between = (value, low, high) => Math.max(low, Math.min(high, value));
  const toSvg = ([x, y]) => [x, -y];
  function show() {
    view.k = between(view.k, 1, CLOSEST);
    view.x = between(view.x, all.x, all.x + all.wide - all.wide / view.k);
    view.y = between(view.y, all.y, all.y + all.high - all.high / view.k);
    svg.setAttribute("viewBox",
      [view.x, view.y, all.wide / view.k, all.high / view.k].map((v) => v.toFixed(3)).join(" "));
    cancelAnimationFrame(wait);
    wait = requestAnimationFrame(() => hearers.forEach((hear) => hear()));
  }
  function frame(x0, y0, x1, y1) {
    const pad = margin * Math.max(x1 - x0, y1 - y0);
    const next = { x: x0 - pad, y: -y1 - pad, wide: x1 - x0 + 2 * pad, high: y1 - y0 + 2 * pad };
    const same = Object.keys(next).every((key) => Math.abs(next[key] - all[key]) < 1e-6);
    if (same) return;
    const whole = view.k === 1;
    Object.assign(all, next);
    if (whole) Object.assign(view, { x: all.x, y: all.y });
    show();
  }
  const px = (count) => {
    const box = svg.getBoundingClientRect();
    if (!box.width || !box.height) return count;
    return count * Math.max(all.wide / view.k / box.width, all.high / view.k / box.height);
  };
  function own(event) {
    const matrix = svg.getScreenCTM();
    const spot = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    return [spot.x, spot.y];
  }
  const mm = (event) => {
    const [x, y] = own(event);
    return [x, -y];
  };
  function closer(times, at) {
    const k = between(view.k * times, 1, CLOSEST), share = view.k / k;
    const [x, y] = at || [view.x + all.wide / view.k / 2, view.y + all.high / view.k / 2];
    Object.assign(view, { x: x - (x - view.x) * share, y: y - (y - view.y) * share, k });
    show();
  }
  function whole() {
    Object.assign(view, { x: all.x, y: all.y, k: 1 });
    show();
  }
  function reveal(at, wide) {
    const [x, y] = toSvg(at), k = between(all.wide / wide, 1, CLOSEST);
    Object.assign(view, { x: x - all.wide / k / 2, y: y - all.high / k / 2, k });
    show();
  }
  function slid(dx, dy) {
    Object.assign(view, { x: view.x + (dx * all.wide) / view.k, y: view.y + (dy * all.high) / view.k });
    show();
  }

  svg.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && document.activeElement !== svg && !svg.contains(document.activeElement)) return;
    event.preventDefault();
    closer(Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : 0.0015)), own(event));
  }, { passive: false });
  svg.addEventListener("keydown", (event) => {
    if (event.target !== svg || event.ctrlKey || event.metaKey || event.altKey) return;
    const way = { ArrowLeft: [-0.2, 0], ArrowRight: [0.2, 0], ArrowUp: [0, -0.2], ArrowDown: [0, 0.2] }[event.key];
    if (way && view.k > 1) slid(...way);
    else if (event.key === "+" || event.key === "=") closer(1.5);
    else if (event.key === "-") closer(1 / 1.5);
    else if (event.key === "0") whole();
    else return;
    event.preventDefault();
  });
  svg.addEventListener("pointerdown", (event) => {
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    if (fingers.size === 2 || event.button === 1) {
      held?.drop();
      pan = { pinch: fingers.size === 2 };
      event.preventDefault();
    }
  });
  svg.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    const old = new Map(fingers);
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    if (!pan) return;
    const box = svg.getBoundingClientRect();
    const middle = (of) => [...of.values()].reduce(([x, y], [u, v]) => [x + u / of.size, y + v / of.size], [0, 0]);
    const [x0, y0] = middle(old), [x1, y1] = middle(fingers);
    slid((x0 - x1) / box.width, (y0 - y1) / box.height);
    if (fingers.size === 2) {
      const apart = (of) => Math.hypot(...[0, 1].map((i) => [...of.values()][0][i] - [...of.values()][1][i]));
      if (apart(old) > 0) closer(apart(fingers) / apart(old), own({ clientX: x1, clientY: y1 }));
    }
  });
  for (const end of ["pointerup", "pointercancel", "pointerleave"])
    svg.addEventListener(end, (event) => {
      fingers.delete(event.pointerId);
      if (!fingers.size) pan = null;
    });
  new ResizeObserver(() => hearers.forEach((hear) => hear())).observe(svg);

  function draggable(el, { start = () => {}, move, end, key }) {
    el.classList.add("grip");
    el.addEventListener("pointerdown", (event) => {
      if (event.button !== 0 || fingers.size > 1) return;
      event.stopPropagation();
      fingers.set(event.pointerId, [event.clientX, event.clientY]);
      el.setPointerCapture(event.pointerId);
      el.focus?.({ preventScroll: true });
      const from = mm(event);
      let now = from, frameAsked = 0, last = event;
      const by = () => [now[0] - from[0], now[1] - from[1]];
      const moved = (next) => {
        if (next.pointerId !== event.pointerId || !svg.isConnected) return;
        now = mm(next);
        last = next;
        frameAsked ||= requestAnimationFrame(() => {
          frameAsked = 0;
          if (held) move(by(), now, last);
        });
      };
      const done = (kept) => {
        cancelAnimationFrame(frameAsked);
        removeEventListener("pointermove", moved);
        removeEventListener("pointerup", up);
        removeEventListener("pointercancel", lost);
        removeEventListener("keydown", escape, true);
        fingers.delete(event.pointerId);
        held = null;
        try {
          if (!kept) move([0, 0], from, last);
          end(kept ? by() : [0, 0], kept ? now : from);
        } finally {
          release();
        }
      };
      const up = (next) => {
        if (next.pointerId !== event.pointerId) return;
        if (!svg.isConnected) return done(false); // the view was left meanwhile
        now = mm(next);
        done(true);
      };
      const lost = (next) => {
        if (!next || next.pointerId === event.pointerId) done(false);
      };
      const escape = (press) => {
        if (press.key !== "Escape") return;
        press.stopPropagation();
        done(false);
      };
      held = { drop: lost };
      hold();
      addEventListener("pointermove", moved);
      addEventListener("pointerup", up);
      addEventListener("pointercancel", lost);
      addEventListener("keydown", escape, true);
      start(from, event);
    });
    if (key) el.addEventListener("keydown", (event) => {
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
      if (!way || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      event.stopPropagation();
      key(way.map((step) => step * (event.shiftKey ? 10 : 1)));
    });
  }
  return { svg, below, over, frame, toSvg, mm, px, whole, closer, reveal, draggable,
    onzoom: (hear) => { hearers.add(hear); return () => hearers.delete(hear); } };
}
