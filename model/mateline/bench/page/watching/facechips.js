/* Which face is shown: a row of names, each with how many findings it has, and whether one stops. */
import { h } from "../dom.js";

export function faceChips(survey, chosen, choose, { only = () => true } = {}) {
  return h("div", { class: "chips faces", role: "group", aria_label: "Faces" }, survey.faces.filter(only).map((face) => {
    const own = survey.findings.filter((each) => each.face === face.name), stops = own.some((each) => each.level === "stop");
    return h("button", { type: "button", data_key: `face-${face.name}`, aria_pressed: String(face.name === chosen),
      onclick: () => choose(face.name) }, face.name, own.length > 0 && h("span", { class: `count${stops ? " stop" : ""}`,
      aria_label: `, ${own.length} finding${own.length === 1 ? "" : "s"}` }, String(own.length)));
  }));
}
/* The face to begin with: the one asked for, or the first that has most to see. */
export function firstFace(survey, asked) {
  const named = survey.faces.find((each) => each.name === asked);
  return (named || [...survey.faces].sort((one, other) => other.pieces - one.pieces)[0])?.name || null;
}
