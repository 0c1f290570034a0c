/* The palette with its paints, the order of passes, painting days, the stencil board and the tape. */
import { fill, h } from "../dom.js";
import { faultLine, faults, field, form, looseFaults, part, pointerTo, schemas, textInput } from "../form.js";
import { icon } from "../icons.js";
import { edit, state } from "../store.js";

const CAN = ["label", "volume_solids_percent", "dry_film_um", "coats", "recoat_hours", "dry_hours", "method"];
const DAYS = ["start", "day_starts", "hours_a_day", "days_off", "done", "method", "degrees", "air", "surface", "humidity_percent"];
const BOARD = ["sheet", "thickness", "least_width", "reach", "tape_margin", "join_tape", "kerf", "paper", "radii", "bed"];
const START = ["#f2e6c9", "#1f4e79", "#c8402f", "#2b7f86", "#ecb440", "#3c7a3a", "#6a3a6e", "#262626"];

export default { title: "Paint", icon: "paint", show(host) {
  const forms = {}, open = new Set();
  let alive = true;
  const page = h("div", { class: "page two" });

  const table = () => state.definition.table || {};
  const formed = (key, of, pointer, value, options) => {
    forms[key] ||= form(part(of), value, pointer, { ...options, key });
    forms[key].update(value, options);
    return forms[key].el;
  };
  const unfolded = (key, words, inner) => h("details", { open: open.has(key), ontoggle: (event) => {
    if (event.target.open) open.add(key);
    else open.delete(key);
  } }, h("summary", {}, words), inner);

  // ---- the palette

  function colour(name, value) {
    const pointer = pointerTo("palette", "colours", name), base = table().palette.base === name;
    const swatch = h("span", { class: "swatch large", aria_hidden: "true" });
    swatch.style.setProperty("--paint", /^#[0-9a-f]{6}$/i.test(value.paint || "") ? value.paint : "transparent");
    const one = (word, more = {}) => field(word, part("PaintTable").properties[word], value[word], `${pointer}/${word}`, { of: name, key: "colour", ...more });
    const can = CAN.filter((word) => value[word] !== undefined).length;
    return h("li", { class: "paint-card panel" }, h("div", { class: "head" }, swatch,
      h("div", { class: "field name-field" }, h("label", { class: "unseen", for: `name-${name}` }, `Name of ${name}`),
        textInput({ id: `name-${name}`, value: name, taken: (text) => edit(`Call ${name} ${text}`, renamed(name, slug(text))) })),
      h("label", { class: "tick base" }, h("input", { type: "radio", name: "base", checked: base, id: `base-${name}`,
        onchange: () => edit(`Make ${name} the base coat`, [{ op: "add", path: "/palette/base", value: name }]) }), "base coat"),
      h("button", { type: "button", class: "tool", aria_label: `Take ${name} out`, title: "Take out", data_key: `out-${name}`,
        onclick: () => edit(`Take ${name} out of the palette`, dropped(name)) }, icon("trash"))),
    h("div", { class: "fields tight" }, one("paint"), one("letter", { help: { letter: "" } })),
    unfolded(`can-${name}`, can ? `On the can: ${value.label || `${can} of ${CAN.length} told`}` : "What the can says",
      formed(`can-${name}`, "PaintTable", pointer, value, { only: CAN, of: name, labels: { label: "Its name" } })),
    faults(pointer).filter((each) => each.place.endsWith(name)).map((each) => faultLine(each)));
  }
  function renamed(name, next) {
    const { palette, trace = [] } = table();
    if (!next || next === name || palette.colours[next]) return [];
    return [{ op: "move", from: pointerTo("palette", "colours", name), path: pointerTo("palette", "colours", next) },
      ...(palette.base === name ? [{ op: "replace", path: "/palette/base", value: next }] : []),
      ...(palette.passes || []).flatMap((each, at) => (each === name ? [{ op: "replace", path: `/palette/passes/${at}`, value: next }] : [])),
      ...trace.flatMap((each, at) => (each.colours || []).flatMap((one, which) => (one === name
        ? [{ op: "replace", path: `/trace/${at}/colours/${which}`, value: next }] : [])))];
  }
  function dropped(name) {
    const { palette } = table(), passes = palette.passes?.filter((each) => each !== name);
    return [{ op: "remove", path: pointerTo("palette", "colours", name) },
      ...(palette.passes?.includes(name) ? [passes.length ? { op: "add", path: "/palette/passes", value: passes }
        : { op: "remove", path: "/palette/passes" }] : [])];
  }
  function adder() {
    const colours = table().palette?.colours || {};
    const look = h("input", { type: "color", id: "new-look", aria_label: "Colour of the new paint",
      value: START.find((each) => !Object.values(colours).some((one) => one.paint?.toLowerCase() === each)) || "#888888" });
    const name = h("input", { type: "text", id: "new-name", autocomplete: "off", placeholder: "cream, teal, coral",
      onkeydown: (event) => { if (event.key === "Enter") add(); } });
    const add = () => {
      const word = slug(name.value);
      if (!word) return name.focus();
      const value = { paint: look.value, letter: letterFor(word, colours) };
      name.value = "";
      edit(`Add ${word} to the palette`, (now) => (now.palette ? [{ op: "add", path: pointerTo("palette", "colours", word), value }]
        : [{ op: "add", path: "/palette", value: { base: word, colours: { [word]: value } } }]));
    };
    return h("div", { class: "with-unit" }, look, h("div", { class: "field" }, h("label", { for: "new-name" }, "A new colour"), name),
      h("button", { type: "button", class: "main", data_key: "add-colour", onclick: add }, icon("plus"), "Add"));
  }

  function draw() {
    const { palette = {}, painting, stencil, tape } = table();
    const names = Object.keys(palette.colours || {});
    fill(page, () => [
      h("section", { class: "whole", aria_labelledby: "palette-head" }, h("h2", { id: "palette-head" }, "Palette"),
        h("ul", { class: "cards paints" }, names.map((name) => colour(name, palette.colours[name]))),
        h("div", { class: "panel" }, adder())),
      panel("passes", "Order of passes", names.length > 1 ? h("div", {}, !palette.passes && h("p", { class: "hint" }, "Mateline finds the shortest. Say yours, and it keeps to it."),
        formed("passes", "PaletteTable", "/palette", palette, { only: ["passes"], choices: { passes: names }, labels: { passes: "Yours" } }))
        : h("p", { class: "hint" }, "One colour needs none.")),
      panel("tape", "Tape", formed("tape", "TapeTable", "/tape", tape, { order: ["unit", "graduation", "accuracy"] })),
      panel("days", "Painting days", h("div", {}, formed("days", "PaintingTable", "/painting", painting, { only: DAYS }),
        unfolded("more-days", "Finer", formed("more", "PaintingTable", "/painting", painting, { leave: DAYS })))),
      panel("board", "Stencil board", h("div", {}, formed("board", "StencilTable", "/stencil", stencil, { only: BOARD }),
        unfolded("more-board", "Tacks, least sizes, knife", formed("more-board", "StencilTable", "/stencil", stencil, { leave: BOARD,
          fresh: { punches: { diameter: "6 mm" }, knife: { offset: "0.25 mm", depth: "0.4 mm", swivel_depth: "0.1 mm" } } }))))]);
    const left = looseFaults(page).filter((each) => /^(palette|tape|painting|stencil|measures)/.test(each.place));
    if (left.length) page.prepend(h("section", { class: "panel whole", aria_label: "To be mended" },
      left.map((each) => h("p", {}, h("strong", {}, each.place), ": ", each.what, " ", each.remedy))));
  }
  const panel = (key, words, inner) => h("section", { class: "panel", aria_labelledby: `${key}-head` }, h("h2", { id: `${key}-head` }, words), inner);

  fill(host, h("p", { class: "empty busy" }, "One moment"));
  schemas().then(() => {
    if (!alive) return;
    fill(host, page);
    draw();
  });
  return { update: (changed) => page.isConnected && changed.has("definition") && draw(), leave() { alive = false; } };
} };

const slug = (text) => text.normalize("NFKD").toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^[^a-z]+|-+$/g, "").slice(0, 40);
function letterFor(name, colours) {
  const taken = Object.values(colours).map((each) => each.letter);
  return [...name.toUpperCase().replace(/[^A-Z]/g, ""), ..."ABCDEFGHIJKLMNOPQRSTUVWXYZ"].find((each) => !taken.includes(each)) || "A";
}
