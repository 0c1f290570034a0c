/* Our own icons: lines on a 24 x 24 ground, drawn for this page from what lies on a bench: a tape, a
   board, a lock, a can, a stencil, a knife. A path that starts with "=" is filled, not drawn. To
   see them all: `names`. What has no drawing is an empty square, and told to whoever wrote it.   */
import { h } from "./dom.js";

const LINES = {
  // the road, stage by stage
  mate: ["M3 4h9v4.5c0 2.2 3.5 1.4 3.5 3.5s-3.5 1.3-3.5 3.5V20H3z", "M15.5 4H21v16h-5.5", "M15.5 4v4M15.5 16v4"],
  measure: ["M2.5 8.5h19v7h-19z", "M6 8.5v3.5M9 8.5v2.3M12 8.5v3.5M15 8.5v2.3M18 8.5v3.5"],
  boards: ["M4 8l8-4 8 4-8 4z", "M4 8v8l8 4 8-4V8", "M12 12v8"],
  hardware: ["M12 3l7.5 4.3v9.4L12 21l-7.5-4.3V7.3z", "M12 8.2a3.8 3.8 0 1 0 0 7.6a3.8 3.8 0 1 0 0-7.6z"],
  paint: ["M5 9h14v11.5H5z", "M5 9c0-6.5 14-6.5 14 0", "M5 12.5c2.5 0 2 3.5 3.5 3.5s1-3.5 3.5-3.5h7"],
  art: ["M3.5 4.5h17v15h-17z", "M3.5 16l5-5 4.5 4.5 3-3 4.5 4.5", "M15.5 7a1.7 1.7 0 1 0 0 3.4a1.7 1.7 0 1 0 0-3.4z"],
  look: ["M2.5 12c5-8 14-8 19 0c-5 8-14 8-19 0z", "M12 9a3 3 0 1 0 0 6a3 3 0 1 0 0-6z"],
  build: ["M3.5 10V4.5h12.5c2.5 0 4 1.5 4.5 4h-4.5v1.5z", "M8 10v10.5h3.5V10"],
  cabinet: ["M6 21V8l3-5h9v18z", "M6 13h5l1.5-4H18"],
  // what one does
  undo: ["M8.5 5L4 9.5L8.5 14", "M4 9.5h9.5a5 5 0 0 1 0 10H9"],
  redo: ["M15.5 5L20 9.5L15.5 14", "M20 9.5h-9.5a5 5 0 0 0 0 10H15"],
  text: ["M5 3.5h9.5L19 8v12.5H5z", "M14.5 3.5V8H19", "M8 12h8M8 15h8M8 18h5"],
  stop: ["M12 3v8", "M7 6a8 8 0 1 0 10 0"],
  close: ["M6 6l12 12", "M18 6L6 18"],
  plus: ["M12 5v14", "M5 12h14"],
  minus: ["M5 12h14"],
  up: ["M5 15l7-7 7 7"],
  down: ["M5 9l7 7 7-7"],
  left: ["M15 5l-7 7 7 7"],
  right: ["M9 5l7 7-7 7"],
  trash: ["M4 6.5h16", "M9 6.5V4h6v2.5", "M6 6.5l1 14h10l1-14", "M10 10v7M14 10v7"],
  search: ["M10.5 4a6.5 6.5 0 1 0 0 13a6.5 6.5 0 1 0 0-13z", "M15.5 15.5L21 21"],
  tick: ["M4.5 12.5l5 5L19.5 7"],
  whole: ["M4 9V4h5M15 4h5v5M20 15v5h-5M9 20H4v-5"],
  drag: ["M12 3v18M3 12h18", "M9.5 5.5L12 3l2.5 2.5M9.5 18.5L12 21l2.5-2.5M5.5 9.5L3 12l2.5 2.5M18.5 9.5L21 12l-2.5 2.5"],
  // how things lie
  front: ["M4 4h10v10H4z", "M17 8h3v12H8v-3"],
  mirror: ["M12 3v2.5M12 8v2.5M12 13v2.5M12 18v3", "M9 7v10H3z", "M15 7v10h6z"],
  turn: ["M19.5 12a7.5 7.5 0 1 1-2.5-5.6", "M17.5 2.5v4.5H13"],
  scale: ["M4 20V9.5h10.5V20z", "M10 4h10v10", "M14.5 9.5L20 4"],
  // tracing and drawing
  camera: ["M3 7.5h4.5L9.5 5h5l2 2.5H21v12H3z", "M12 9.7a3.6 3.6 0 1 0 0 7.2a3.6 3.6 0 1 0 0-7.2z"],
  pen: ["M4 20l1-5L16 4l4 4L9 19z", "M13.5 6.5l4 4"],
  arc: ["M4 18a14 14 0 0 1 14-12", "M4 16.2a1.8 1.8 0 1 0 0 3.6a1.8 1.8 0 1 0 0-3.6z",
    "M19.7 4.2a1.8 1.8 0 1 0 0 3.6a1.8 1.8 0 1 0 0-3.6z"],
  circle: ["M12 4a8 8 0 1 0 0 16a8 8 0 1 0 0-16z", "=M12 11a1 1 0 1 0 0 2a1 1 0 1 0 0-2z"],
  template: ["M3 4h18v16H3z", "M8.5 7a3.5 3.5 0 1 0 0 7a3.5 3.5 0 1 0 0-7z", "M16.5 8.5a2 2 0 1 0 0 4a2 2 0 1 0 0-4z", "M14 15.5a1.2 1.2 0 1 0 0 2.4a1.2 1.2 0 1 0 0-2.4z"],
  line: ["M6 18L18 6", "M4.7 17.5a1.8 1.8 0 1 0 0 3.6a1.8 1.8 0 1 0 0-3.6z", "M19.3 2.9a1.8 1.8 0 1 0 0 3.6a1.8 1.8 0 1 0 0-3.6z"],
  node: ["M9 9h6v6H9z", "M2.5 15c3-1 3.5-3 6.5-3M15 12c3 0 3.5-2 6.5-3"],
  fill: ["M10.5 3.5l8 8-7 7-8-8z", "M10.5 3.5L8 1.8", "=M20.5 15c1.5 2.2 1.8 3 1.8 3.8a1.8 1.8 0 0 1-3.6 0c0-.8.3-1.6 1.8-3.8z", "M4 11h14"],
  magnet: ["M5 4h4v8a3 3 0 0 0 6 0V4h4v8a7 7 0 0 1-14 0z", "M5 8h4M15 8h4"],
  star: ["M12 3.5l2.6 5.6 6.1.7-4.5 4.2 1.2 6L12 17l-5.4 3 1.2-6-4.5-4.2 6.1-.7z"],
  photo: ["M3.5 5h17v14h-17z", "M7 15.5l3.5-4 2.5 2.5 2-2 2.5 3.5z"],
  drop: ["M12 3v11", "M7.5 9.5L12 14l4.5-4.5", "M4 16v4.5h16V16"],
  eye: ["M2.5 12c5-8 14-8 19 0c-5 8-14 8-19 0z", "=M12 9.5a2.5 2.5 0 1 0 0 5a2.5 2.5 0 1 0 0-5z"],
  // beside the cabinet
  share: ["M7.5 2.5h9v19h-9z", "M11 18.5h2", "M4.5 8c-1 2.5-1 5.5 0 8M19.5 8c1 2.5 1 5.5 0 8"],
  keypad: ["M4 4h4v4H4zM10 4h4v4h-4zM16 4h4v4h-4zM4 10h4v4H4zM10 10h4v4h-4zM16 10h4v4h-4zM4 16h4v4H4zM10 16h4v4h-4zM16 16h4v4h-4z"],
};
export const names = Object.keys(LINES);

export function icon(name) {
  if (!LINES[name]) console.warn(`There is no icon called ${name}.`);
  return h("svg", { class: "icon", viewBox: "0 0 24 24", aria_hidden: "true", focusable: "false" },
    (LINES[name] || ["M5 5h14v14H5z"]).map((d) => d.startsWith("=")
      ? h("path", { d: d.slice(1), class: "fill" }) : h("path", { d })));
}
