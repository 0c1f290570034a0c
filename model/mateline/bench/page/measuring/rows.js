/* The readings of an outline as a list: what was read, how far each is off, and what is still to be
   read. Enter goes on to the next that is empty.

   rows({ onPick(names), onRead(pair, text), onChange(entry, value), onDrop(entry) }) -> { el, show(seen), focus(pair) }
   seen: { entries, off: {label: words}, bad: [labels], suspect: label, slip: words, planned: [pairs], faults(pointer), unit }  */
import { fill, h } from "../dom.js";
import { faultLine, reading, textInput } from "../form.js";
import { icon } from "../icons.js";

const idOf = (label) => `read-${label.replaceAll(" ", "_")}`;
const KINDS = { above: "square to", along: "along", past: "past" };
const called = (entry) => (entry.kind === "distance" || entry.kind === "other" ? entry.label.replace("-", "\u2013")
  : `${entry.names[0]} ${KINDS[entry.kind]} ${entry.names[1]}\u2013${entry.names[2]}`);

export function rows({ onPick, onRead, onChange, onDrop }) {
  const el = h("ul", { class: "rows", aria_label: "Readings" });
  let seen = null;

  const next = (from) => {
    const empty = [...el.querySelectorAll("input[data-empty]")].filter((each) => each !== from);
    return empty.find((each) => from.compareDocumentPosition(each) & 4) || empty[0];
  };
  function typing(input) {
    input.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      const to = next(input);
      input.blur();
      (to || input).focus();
      to?.select();
    });
    return input;
  }
  function measured(entry) {
    const list = Array.isArray(entry.value) ? entry.value : [entry.value], id = idOf(entry.label);
    const wrong = seen.faults(entry.pointer), off = seen.off[entry.label];
    const set = (which, text) => {
      const values = text === "" ? list.filter((_, at) => at !== which) : list.map((old, at) => (at === which ? reading(text) : old));
      if (!values.length) onDrop(entry);
      else onChange(entry, values.length === 1 ? values[0] : values);
    };
    const bad = seen.bad.includes(entry.label) || wrong.length > 0;
    return h("li", { class: `row reading-row${bad ? " bad" : ""}`, data_pair: entry.names.join(" "), onfocusin: () => onPick(entry.names) },
      h("label", { class: "name", for: id }, called(entry)),
      h("span", { class: "value" }, list.map((each, at) => typing(textInput({ id: at ? `${id}-${at}` : id, value: each,
        aria_label: at ? `${called(entry)}, read again` : null, inputmode: "text", aria_invalid: bad ? "true" : null,
        aria_describedby: `${id}-off`, taken: (text) => set(at, text) })))),
      h("span", { class: "off said", id: `${id}-off` }, off ? [h("span", { class: "unseen" }, "off "), off] : ""),
      h("button", { type: "button", class: "tool", aria_label: `Read ${entry.label} once more`, title: "Read once more", data_key: `${id}-again`,
        disabled: entry.kind === "other", onclick: () => onChange(entry, [...list, list.at(-1)]) }, icon("plus")),
      h("button", { type: "button", class: "tool", aria_label: `Take ${entry.label} out`, title: "Take out", data_key: `${id}-out`,
        onclick: () => onDrop(entry) }, icon("trash")),
      wrong.map((each) => faultLine(each)), seen.suspect === entry.label && h("p", { class: "fault" }, seen.slip || "in doubt"));
  }
  function empty(pair, first) {
    const label = pair.join("-"), id = idOf(label);
    return h("li", { class: `row reading-row${first ? " next" : ""}`, data_pair: pair.join(" "), onfocusin: () => onPick(pair) },
      h("label", { class: "name", for: id }, label.replace("-", "\u2013")),
      h("span", { class: "value" }, typing(textInput({ id, value: "", inputmode: "text", data_empty: true, placeholder: "how long?",
        taken: (text) => text && onRead(pair, text) }))),
      h("span", { class: "off" }, first ? h("span", { class: "tag" }, "next") : ""));
  }
  return { el, show(now) {
    seen = now;
    fill(el, seen.entries.map(measured), seen.planned.map((pair, at) => empty(pair, at === 0)));
  }, pick(names) {
    const key = names?.join(" ");
    el.querySelectorAll(".row").forEach((each) => each.classList.toggle("picked", each.dataset.pair === key));
  }, focus(pair) {
    const input = el.querySelector(`#${CSS.escape(idOf(pair.join("-")))}`)
      || el.querySelector(`#${CSS.escape(idOf([...pair].reverse().join("-")))}`);
    input?.focus();
    return Boolean(input);
  } };
}
