/* Which paper to trace on: a face, or a drawing that is to be corrected. */
import { fill, h } from "../dom.js";
import { icon } from "../icons.js";
import { go } from "../shell.js";
import { state } from "../store.js";

/* The file of lines that belongs to a face or to a drawing. */
export const linesOf = (stem) => `${stem.replace(/\.[^./]+$/, "").replace(/-lines$/, "")}-lines.svg`;

/* The face that a drawing lies on as it is, "" for one that is placed otherwise. */
export function homeOf(path) {
  const [one, more] = (state.definition?.table?.art || []).filter((each) => each.drawing === path);
  const moved = ["anchor", "to", "offset", "turn", "scale", "fit", "landmarks"];
  return one && !more && typeof one.on === "string" && !moved.some((word) => word in one) ? one.on : "";
}

export function chooser(host, chosen) {
  const open = (face, file) => go(state.name, "trace", face || "-", file);
  function faceRow(each, files) {
    const own = linesOf(each.name), photo = files.some((file) => file.path === `squared/${each.name}.png`);
    return h("li", { class: `row${each.name === chosen ? " picked" : ""}` }, h("span", { class: "name" }, each.name),
      h("span", { class: "value hint" }, photo ? "its squared photo lies under it" : ""),
      h("button", { type: "button", data_key: `face-${each.name}`, class: each.name === chosen ? "main" : null,
        onclick: () => open(each.name, own) }, icon("pen"), files.some((file) => file.path === own) ? "Go on" : "Begin"));
  }
  const drawingRow = (each) => h("li", { class: "row" }, h("span", { class: "name" }, each.path),
    h("span", { class: "value hint" }, each.kind === "borders" ? "lines and colours" : "its borders are taken over"),
    h("button", { type: "button", data_key: `file-${each.path}`,
      onclick: () => open(homeOf(each.path), each.kind === "borders" ? each.path : linesOf(each.path)) }, icon("pen"), "Open"));
  function draw() {
    const faces = state.survey?.faces || [], files = state.files || [];
    const drawings = files.filter((each) => each.kind === "drawing" || each.kind === "borders");
    fill(host, h("div", { class: "page" },
      h("section", { class: "panel" }, h("h2", {}, "Trace over"),
        h("p", {}, "Lay tracing paper on a face: over its squared photo, a drawing, or nothing."),
        faces.length ? h("ul", { class: "rows" }, faces.map((each) => faceRow(each, files)))
          : h("p", { class: "empty" }, "There is no face yet. Measure the cabinet first.")),
      drawings.length > 0 && h("section", { class: "panel" }, h("h2", {}, "Correct a drawing"),
        h("ul", { class: "rows" }, drawings.map(drawingRow)))));
  }
  draw();
  return { update: draw, leave() {} };
}
