/* Small pictures: of a drawing as it is read, and of a face with what lies on it. */
import { h } from "../dom.js";
import { at, face as faceData, state } from "../store.js";
import { get, Refusal } from "../wire.js";

const MOST = 600; // shapes of a small picture
const drawings = new Map();

/* What is in a drawing (GET C/drawing), asked for once for each state of its file; null where it
   can't be read. */
export function drawingOf(path) {
  const file = state.files?.find((each) => each.path === path);
  const key = `${state.name} ${path} ${file?.version}`;
  if (!file) return Promise.resolve(null);
  if (!drawings.has(key)) {
    drawings.set(key, get(at(`drawing?path=${encodeURIComponent(path)}`)).catch((fault) => {
      if (!(fault instanceof Refusal)) throw fault;
      return null;
    }));
  }
  return drawings.get(key);
}
const frame = (wide, high, label) => h("svg", { class: "picture", viewBox: `0 0 ${wide} ${high}`, role: label ? "img" : null,
  aria_label: label, aria_hidden: label ? null : "true", preserveAspectRatio: "xMidYMid meet" });

export function drawingPicture(path) {
  const host = h("span", { class: "small-picture" });
  drawingOf(path).then((told) => told && host.replaceChildren(shapesOf(told)));
  return host;
}
export function shapesOf(told, label = null) {
  const svg = frame(told.width, told.height, label);
  svg.append(...told.shapes.slice(0, MOST).map((each) => h("path", { d: each.d, fill: each.paint, fill_rule: "evenodd", data_element: each.element })));
  return svg;
}
export function facePicture(name) {
  const host = h("span", { class: "small-picture" });
  faceData(name).then((data) => {
    const svg = frame(data.width, data.height, null);
    svg.append(h("path", { class: "ground", d: data.outline, fill: data.base || "none" }),
      ...data.pieces.slice(0, MOST).map((piece) => h("path", { d: piece.d, fill: piece.paint })), h("path", { class: "rim", d: data.outline }));
    host.replaceChildren(svg);
  }).catch((fault) => {
    if (!(fault instanceof Refusal)) throw fault;
  });
  return host;
}
