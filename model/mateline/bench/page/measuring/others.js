/* Readings that are no plain distance: how far a corner is from a line, or along it. */
import { h } from "../dom.js";
import { reading, textInput } from "../form.js";
import { edit } from "../store.js";
import { at } from "./readings.js";

const KINDS = [["above", "square to the line from"], ["along", "along, from the first, on the line from"], ["past", "past the end, from the first, of the line from"]];
const drafts = new Map();

export function others(where, seen, own) {
  const { names } = seen, key = JSON.stringify(where);
  const draft = drafts.get(key) || { corner: names[2], kind: "above", a: names[0], b: names[1], open: false };
  drafts.set(key, draft);
  const choose = (what, label, values) => h("select", { id: `other-${what}`, aria_label: label,
    onchange: (event) => { draft[what] = event.target.value; } },
  values.map((each) => (Array.isArray(each) ? each : [each, each])).map(([value, words]) => h("option", { value, selected: draft[what] === value }, words)));
  return h("details", { open: draft.open, ontoggle: (event) => { draft.open = event.target.open; } }, h("summary", {}, "Square to a line, or along it"),
    h("div", { class: "bar-of-tools other-reading" }, choose("corner", "Corner", names), choose("kind", "How", KINDS),
      choose("a", "From corner", names), h("span", {}, "to"), choose("b", "To corner", names),
      textInput({ id: "other-length", value: "", aria_label: "How long", placeholder: "how long?", taken: (text) => {
        const label = `${draft.corner} ${draft.kind} ${draft.a}-${draft.b}`;
        if (text) edit(`Set ${label} of ${own} to ${text}`, [{ op: "add", path: at(where, "readings", label), value: reading(text) }]);
      } })));
}
