/* Elements by one call. h("button", { class: "wide", onclick: save, aria_label: "Save" }, "Save")
   Names of attributes are written with _ for -; a function is a listener; true and null stand for
   an attribute without a value and for none. Texts are texts: nothing is ever read as HTML.     */
const SVG = "http://www.w3.org/2000/svg";
const DRAWN = new Set(["svg", "g", "path", "circle", "ellipse", "line", "rect", "polyline", "polygon",
  "text", "tspan", "title", "defs", "marker", "clipPath", "mask", "pattern", "image", "use"]);

export function h(tag, props, ...children) {
  const el = DRAWN.has(tag) ? document.createElementNS(SVG, tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(props || {})) {
    if (value === null || value === undefined || value === false) continue;
    if (typeof value === "function") el.addEventListener(name.replace(/^on/, ""), value);
    else if (name === "value" && "value" in el) el.value = value;
    else if (name === "style") Object.assign(el.style, value);
    else el.setAttribute(name === "viewBox" ? name : name.replaceAll("_", "-"),
      value === true ? "" : String(value));
  }
  el.append(...children.flat(Infinity).filter((each) => each !== null && each !== undefined
    && each !== false));
  return el;
}

/* The children of `host` are now these. What has the focus keeps it where its id or its data-key is
   still there, and what was typed there and not yet taken (data-typed) stays. Where elements are used
   again in new ones, give a function that makes the children: moving one takes its focus away. */
export function fill(host, ...children) {
  const active = host.contains(document.activeElement) ? document.activeElement : null;
  const mark = active && (active.id ? `#${CSS.escape(active.id)}`
    : active.dataset.key && `[data-key="${CSS.escape(active.dataset.key)}"]`);
  const at = active && "selectionStart" in active ? [active.selectionStart, active.selectionEnd] : null;
  const typed = active?.dataset.typed !== undefined ? active.value : null;
  host.replaceChildren(...children.map((each) => (typeof each === "function" ? each() : each)).flat(Infinity)
    .filter((each) => each !== null && each !== undefined && each !== false));
  const again = mark && host.querySelector(mark);
  if (!again) return;
  if (typed !== null && "value" in again) {
    again.value = typed;
    again.dataset.typed = "";
  }
  again.focus({ preventScroll: true });
  if (at?.[0] !== null && at && "setSelectionRange" in again) {
    try { again.setSelectionRange(...at); } catch { /* an input of numbers has no selection */ }
  }
}

/* An id that nothing else on the page has. */
let count = 0;
export const fresh = (stem) => `${stem}-${(count += 1)}`;
