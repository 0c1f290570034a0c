/* The definition as it stands in cabinet.toml, to be written by hand, with its faults beside it. */
import { fill, h } from "../dom.js";
import { icon } from "../icons.js";
import { notice } from "../shell.js";
import { setText, state } from "../store.js";

export default { title: "Text", icon: "text", show(host) {
  const area = h("textarea", { class: "text", id: "text", spellcheck: "false", autocomplete: "off", wrap: "off",
    aria_label: "The text of cabinet.toml", aria_describedby: "text-faults" });
  const side = h("div", { class: "side", id: "text-faults" }), save = h("button", { type: "button", class: "main",
    data_key: "save", onclick: write }, icon("tick"), "Write it");
  const back = h("button", { type: "button", data_key: "back", onclick: put }, icon("undo"), "As it was");
  let from = null, was = ""; // the version and the text that one started from

  function put() {
    from = state.definition.version;
    was = area.value = state.definition.text;
    draw();
  }
  const isOwn = () => area.value !== was;
  async function write() {
    if (from !== state.definition.version) {
      notice("bad", "The definition was changed meanwhile. Take what it says now, and write your change again.", ["Take it", put]);
      return;
    }
    if (await setText("Write the text", area.value)) put();
  }
  function lineOf(each) {
    const at = /line (\d+)/.exec(each.what);
    if (at) return Number(at[1]) - 1;
    const last = each.place.split(", ").at(-1)?.replace(/ \d+( \(.*\))?$/, "");
    const found = area.value.split("\n").findIndex((line) => last && line.replace(/#.*/, "").includes(last));
    return found < 0 ? null : found;
  }
  function show(line) {
    const lines = area.value.split("\n"), start = lines.slice(0, line).join("\n").length + (line ? 1 : 0);
    area.focus();
    area.setSelectionRange(start, start + lines[line].length);
    area.scrollTop = (area.scrollHeight / lines.length) * Math.max(0, line - 4);
  }
  function draw() {
    const { faults } = state.definition;
    save.disabled = back.disabled = !isOwn();
    fill(side, h("div", { class: "bar-of-tools" }, save, back),
      faults.length ? h("ul", { class: "rows plain" }, faults.map((each) => {
        const line = lineOf(each);
        return h("li", { class: "finding stop" }, h("h3", {}, each.place || "cabinet.toml"), h("p", {}, each.what), h("p", { class: "remedy" }, each.remedy),
          line !== null && h("button", { type: "button", data_key: `line-${each.place}`, onclick: () => show(line) }, `Line ${line + 1}`));
      })) : h("p", { class: "empty" }, isOwn() ? "Not written yet." : "Nothing in it is wrong."));
  }
  area.addEventListener("input", draw);
  area.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "s") return;
    event.preventDefault();
    if (isOwn()) write();
  });
  fill(host, h("div", { class: "split wide text-view" }, h("div", { class: "stage" }, area), side));
  put();
  return { update(changed) {
    if (!changed.has("definition")) return;
    if (!isOwn() || area.value === state.definition.text) put();
    else draw();
  }, leave() {} };
} };
