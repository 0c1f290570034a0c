"use strict";
/* One drawing that pans and zooms: the view box moves, so lettering grows with what it names and
   lines stay as thin as they are. Wheel and keys are its own once it has been clicked; until then
   the page scrolls on.                                                                        */
const CLOSEST = 40; // times: the ids of the smallest pieces can be read
function drawingZoom(sheet, svg) {
  const [left, top, wide, high] = svg.getAttribute("viewBox").split(" ").map(Number);
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const view = { x: left, y: top, k: 1 }, fingers = new Map();
  let frame = 0, dragged = false, from = null;

  const between = (value, low, high_) => Math.max(low, Math.min(high_, value));
  function show({ x, y, k }) {
    view.k = between(k, 1, CLOSEST);
    view.x = between(x, left, left + wide - wide / view.k);
    view.y = between(y, top, top + high - high / view.k);
    const box = [view.x, view.y, wide / view.k, high / view.k];
    svg.setAttribute("viewBox", box.map((value) => value.toFixed(3)).join(" "));
    sheet.classList.toggle("close", view.k > 1);
    sheet.dataset.zoom = view.k.toFixed(2);
  }
  function glide(goal) {
    cancelAnimationFrame(frame);
    if (still.matches) return show(goal);
    const start = { ...view }, begun = performance.now();
    const tick = (now) => {
      const share = between((now - begun) / 160, 0, 1), eased = 1 - (1 - share) ** 3;
      // The scale goes by equal ratios, so that it seems even.
      const k = start.k * (goal.k / start.k) ** eased;
      const along = goal.k === start.k ? eased : (1 / start.k - 1 / k) / (1 / start.k - 1 / goal.k);
      show({ x: start.x + (goal.x - start.x) * along, y: start.y + (goal.y - start.y) * along, k });
      if (share < 1) frame = requestAnimationFrame(tick);
    };
    frame = requestAnimationFrame(tick);
  }
  function closer(times, at) {
    const k = between(view.k * times, 1, CLOSEST), share = view.k / k;
    const [x, y] = at || [view.x + wide / view.k / 2, view.y + high / view.k / 2];
    return { x: x - (x - view.x) * share, y: y - (y - view.y) * share, k };
  }
  /* Where a place of the screen is in the drawing, mm. */
  function inside(event) {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(
      svg.getScreenCTM().inverse());
    return [at.x, at.y];
  }
  const all = () => ({ x: left, y: top, k: 1 });
  function pressed(key) {
    const step = 0.2 / view.k;
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[key];
    if (way && view.k === 1) return false; // nothing to move: the page scrolls
    if (way) glide({ x: view.x + way[0] * step * wide, y: view.y + way[1] * step * high, k: view.k });
    else if (key === "+" || key === "=") glide(closer(1.5));
    else if (key === "-") glide(closer(1 / 1.5));
    else if (key === "0") glide(all());
    else return false;
    return true;
  }
  /* Brings an element to the middle, as close as its lettering (mm, if it has any) needs. */
  function reveal(target, lettering) {
    const box = target.getBBox(), px = (lettering * svg.clientWidth) / wide;
    const k = lettering && px * view.k < 11 ? 13 / px : view.k;
    if (k === 1) return;
    show({ x: box.x + (box.width - wide / k) / 2, y: box.y + (box.height - high / k) / 2, k });
  }

  sheet.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (pressed(event.key)) event.preventDefault();
  });
  svg.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && !sheet.contains(document.activeElement)) return;
    if (!event.ctrlKey && view.k === 1 && event.deltaY > 0) return;
    event.preventDefault();
    cancelAnimationFrame(frame);
    const lines = event.deltaMode === 1 ? 16 : 1; // some browsers count lines, not pixels
    show(closer(Math.exp((-event.deltaY * lines) / (event.ctrlKey ? 100 : 400)), inside(event)));
  }, { passive: false });
  svg.addEventListener("pointerdown", (event) => {
    cancelAnimationFrame(frame);
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    if (fingers.size === 1) [dragged, from] = [false, [event.clientX, event.clientY]];
  });
  svg.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    const here = [event.clientX, event.clientY];
    if (fingers.size === 1 && !dragged && Math.hypot(here[0] - from[0], here[1] - from[1]) < 6) return;
    if (fingers.size === 1 && view.k === 1) return;
    if (!dragged) svg.setPointerCapture(event.pointerId); // before, a click would lose its piece
    dragged = true;
    const mm = wide / view.k / svg.clientWidth, share = 1 / fingers.size;
    show({ x: view.x - (here[0] - before[0]) * mm * share,
      y: view.y - (here[1] - before[1]) * mm * share, k: view.k });
    const other = [...fingers].find(([id]) => id !== event.pointerId);
    if (other) {
      const apart = (place) => Math.hypot(place[0] - other[1][0], place[1] - other[1][1]);
      const middle = { clientX: (here[0] + other[1][0]) / 2, clientY: (here[1] + other[1][1]) / 2 };
      show(closer(apart(here) / Math.max(apart(before), 1), inside(middle)));
    }
    fingers.set(event.pointerId, here);
  });
  /* A finger is held by the piece under it, which loses it to the drawing at the first move: that
     is no lifting. */
  const lifted = (event) => {
    if (event.type === "lostpointercapture" && event.target !== svg) return;
    fingers.delete(event.pointerId);
  };
  for (const end of ["pointerup", "pointercancel", "lostpointercapture"])
    svg.addEventListener(end, lifted);
  addEventListener("pointerup", lifted); // let go beside the drawing
  svg.addEventListener("click", (event) => {
    if (dragged) event.stopPropagation(); // it was moved, not clicked
    dragged = false;
  }, true);
  addEventListener("beforeprint", () => show(all()));
  return { pressed, reveal };
}
