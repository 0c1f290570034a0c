/* The first page: the cabinets of the folder, and a new one from a starting shape. */
import { fill, h } from "../dom.js";
import { icon } from "../icons.js";
import { go, notice } from "../shell.js";
import { exported, get, post, Refusal } from "../wire.js";

// What each shape looks like from the player's right (the table from above), on a ground of 120 x 90.
const SHAPES = [
  ["empty", "Draw my own", "M24 78H70L96 44L74 18L40 30", "corner by corner"],
  ["box", "Box", "M36 84V18H84V84Z", "four corners"],
  ["sloped-top", "Sloped top", "M14 78V46L106 22V78Z", "a long body"],
  ["wedge", "Wedge", "M42 82V12H64L84 82Z", "a head that leans back"],
  ["upright", "Upright", "M34 86L31 50L46 44L40 8H82V86Z", "screen, deck and front"],
  ["table", "Table", "M18 20H102V70H18Z", "from above"],
  ["starter", "An example", "M30 84V16H82V84Z|M30 46H82M30 58H82", "with art; builds as it is"],
];
const UNITS = [["in", "inches"], ["mm", "millimetres"], ["cm", "centimetres"]];

export const drawn = (d, open = false) => h("svg", { class: open ? "picture open" : "picture", viewBox: "0 0 120 90", aria_hidden: "true" },
  d.split("|").map((each, at) => h("path", { d: each, class: at ? "fold" : null })));
const folderName = (title) => title.normalize("NFKD").toLowerCase().replace(/[^a-z0-9]+/g, "-")
  .replace(/^-+|-+$/g, "").slice(0, 40);

export default { title: "Cabinets", icon: "cabinet", show(host) {
  const list = h("section", { class: "panel plain whole", aria_labelledby: "here" });
  const form = h("section", { class: "panel whole", aria_labelledby: "new" });
  fill(host, h("div", { class: "page" }, list, form));
  const chosen = { shape: "box", unit: localeUnit(), title: "", name: null, wrong: null };

  const choose = (what, value) => {
    chosen[what] = value;
    draw();
  };
  async function start(event) {
    event.preventDefault();
    const title = chosen.title.trim(), name = chosen.name ?? folderName(title);
    if (!title) {
      chosen.wrong = "Give it a title first.";
      draw();
      return form.querySelector("#new-title").focus();
    }
    try {
      const made = await post("/cabinets", { name: name || "cabinet", title, shape: chosen.shape, unit: chosen.unit });
      go(made.name, "measure");
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      chosen.wrong = `${fault.what} ${fault.remedy}`.trim();
      draw();
    }
  }
  function draw() {
    const { wrong } = chosen;
    fill(form, h("form", { onsubmit: start, novalidate: true },
      h("h2", { id: "new" }, "A new cabinet"),
      h("div", { class: "fields wide" },
        h("div", { class: `field${wrong ? " bad" : ""}` }, h("label", { for: "new-title" }, "Title"),
          h("input", { type: "text", id: "new-title", value: chosen.title, autocomplete: "off", maxlength: 80,
            aria_invalid: wrong ? "true" : null, aria_describedby: wrong ? "new-wrong" : "new-folder",
            oninput: (event) => {
              chosen.title = event.target.value;
              chosen.wrong = null;
              form.querySelector("#new-folder").textContent = folderSaid();
            } }),
          h("p", { class: "help", id: "new-folder" }, folderSaid()),
          wrong && h("p", { class: "fault", id: "new-wrong", role: "alert" }, wrong)),
        h("fieldset", { class: "plain" }, h("legend", {}, "The tape reads"), h("div", { class: "chips" },
          UNITS.map(([unit, words]) => h("button", { type: "button", aria_pressed: String(chosen.unit === unit),
            data_key: `unit-${unit}`, onclick: () => choose("unit", unit) }, words))))),
      h("fieldset", { class: "plain" }, h("legend", {}, "Its shape, roughly"),
        h("ul", { class: "cards small" }, SHAPES.map(([shape, words, d, hint]) => h("li", {}, h("button", { type: "button",
          class: "card", data_key: `shape-${shape}`, aria_pressed: String(chosen.shape === shape),
          onclick: () => choose("shape", shape) }, drawn(d, shape === "empty"), words, h("span", { class: "hint" }, hint)))))),
      h("div", { class: "foot" }, h("button", { type: "submit", class: "main big", data_key: "start" },
        icon("plus"), "Start"))));
  }
  const folderSaid = () => `Folder: ${chosen.name ?? (folderName(chosen.title) || "from its title")}`;

  async function load() {
    const { root, cabinets } = await get("/cabinets");
    fill(list, h("h2", { id: "here" }, "On the bench"),
      h("p", { class: "hint" }, root),
      cabinets.length ? h("ul", { class: "cards" }, cabinets.map((each) => h("li", {}, h("a", { class: "card",
        href: `#/${encodeURIComponent(each.name)}/measure`, data_key: `open-${each.name}` },
      each.built ? h("img", { class: "picture", alt: "", src: exported(each.name, "cabinet.svg") }) : drawn("M34 86V40L42 14H86V86Z|M34 52H46L52 32H86"),
      h("span", {}, each.title || each.name), h("span", { class: "hint" }, each.name),
      each.fault && h("span", { class: "fault" }, each.fault)))))
        : h("p", { class: "empty" }, "No cabinet here yet. Start one below."));
  }
  draw();
  load().catch((fault) => {
    if (!(fault instanceof Refusal)) throw fault;
    notice("bad", fault.message);
  });
  return { update() {}, leave() {} };
} };

/* Inches where the browser's own place uses them. */
function localeUnit() {
  const place = new Intl.Locale(navigator.language).maximize().region;
  return ["US", "LR", "MM"].includes(place) ? "in" : "mm";
}
