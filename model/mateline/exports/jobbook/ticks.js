/* Boxes to tick: what is ticked stays so when the book is opened again, on this device. */
(() => {
  "use strict";
  const kept = `ticks of ${document.title}`;
  const boxes = [...document.querySelectorAll("input.tick")];
  const remembered = () => {
    try { return new Set(JSON.parse(localStorage.getItem(kept) || "[]")); }
    catch { return new Set(); }
  };
  const ticked = remembered();
  for (const box of boxes) {
    box.checked = ticked.has(box.id);
    box.addEventListener("change", () => {
      const now = boxes.filter((each) => each.checked).map((each) => each.id);
      try { localStorage.setItem(kept, JSON.stringify(now)); } catch { /* not kept then */ }
    });
  }
})();
