/* The page's frame: which cabinet and which view, undo and redo, notices, what is out of touch.
   The address says where one is: #/harbour-lights/measure. A view is a module that exports
   { title, icon, show(host, state) -> { update(changed), leave() } }.                            */
import { fill, h } from "./dom.js";
import { icon } from "./icons.js";
import { open, redo, state, subscribe, tell, undo } from "./store.js";
import { post } from "./wire.js";

const VIEWS = ["measure", "boards", "hardware", "paint", "art", "look", "build"];
const OTHERS = ["start", "trace", "text"];
const loaded = new Map();
const bar = document.getElementById("bar"), host = document.getElementById("view");
const notices = document.getElementById("notices");
let shown = null, here = { name: undefined, view: null };

async function module(view) {
  if (!loaded.has(view)) loaded.set(view, (await import(`./views/${view}.js`)).default);
  return loaded.get(view);
}
/* What the address says: cabinet, view, and what in it (#/name/view/more). */
export function where() {
  const [, name, view, ...more] = location.hash.split("/").map(decodeURIComponent);
  return { name: name || null, view: name ? view || "measure" : "start", more };
}
export function go(name, view, ...more) {
  location.hash = name ? ["", name, view, ...more].map(encodeURIComponent).join("/") : "";
}

async function moved() {
  const to = where();
  if (![...VIEWS, ...OTHERS].includes(to.view)) return go(to.name, "measure");
  shown?.leave?.();
  shown = null;
  const coming = module(to.view); // while the cabinet is asked for
  if (to.name !== here.name) {
    try {
      await open(to.name);
    } catch (fault) {
      here = { name: undefined, view: null };
      notice("bad", fault.message);
      if (to.name) go(null);
      return;
    }
  }
  const view = await coming;
  if (JSON.stringify(where()) !== JSON.stringify(to)) return; // moved on meanwhile
  here = to;
  document.title = `${to.name ? `${view.title}: ${to.name}` : "Cabinets"} - Mateline bench`;
  document.body.dataset.view = to.view;
  drawBar();
  host.replaceChildren();
  shown = view.show(host, state, to.more);
  document.body.dataset.ready = to.view;
}

function drawBar() {
  const { name, view } = here;
  if (!name) {
    return fill(bar, h("h1", { class: "mark" }, icon("mate"), "Mateline bench"), h("div", { class: "tools" }, stop()));
  }
  const { undo: back, redo: forth } = state.definition || { undo: {}, redo: {} };
  const tool = (key, label, sign, act, off) => h("button", { type: "button", class: "tool",
    data_key: key, onclick: act, disabled: off, title: label, aria_label: label }, icon(sign));
  fill(bar,
    h("a", { class: "mark", href: "#", aria_label: "All cabinets", data_key: "home" }, icon("mate")),
    h("h1", {}, state.definition?.table?.title || name),
    h("nav", { aria_label: "Work" }, VIEWS.map((each) => h("a", {
      href: `#/${encodeURIComponent(name)}/${each}`, data_key: each,
      aria_current: each === view ? "page" : null }, icon(each), h("span", {}, TITLES[each])))),
    h("div", { class: "tools" },
      tool("undo", back.next ? `Undo: ${back.next}` : "Nothing to undo", "undo", undo, !back.count),
      tool("redo", forth.next ? `Redo: ${forth.next}` : "Nothing to redo", "redo", redo, !forth.count),
      h("a", { class: "tool", href: `#/${encodeURIComponent(name)}/text`, data_key: "text",
        title: "The definition's text", aria_label: "The definition's text" }, icon("text")),
      stop()));
}
const TITLES = { measure: "Measure", boards: "Boards", hardware: "Hardware", paint: "Paint",
  art: "Art", look: "Look", build: "Build" };

function stop() {
  return h("button", { type: "button", class: "tool", data_key: "stop", title: "Stop the bench",
    aria_label: "Stop the bench", onclick: async () => {
      await post("/stop");
      goodbye();
    } }, icon("stop"));
}
function goodbye() {
  shown?.leave?.();
  shown = null;
  fill(bar);
  fill(host, h("section", { class: "goodbye" }, h("h1", {}, "The bench has stopped."),
    h("p", {}, "All that you did is in the cabinet's folder. Start it again with ",
      h("code", {}, "mateline bench"), ".")));
}

/* A word at the foot of the page: `kind` is "good", "bad" or "plain". It stays until it is put
   away, unless it is good news. `act` is a button: [label, what it does]. */
export function notice(kind, words, act) {
  const put = h("div", { class: `notice ${kind}` }, h("p", {}, words),
    act && h("button", { type: "button", onclick: () => { put.remove(); act[1](); } }, act[0]),
    h("button", { type: "button", class: "tool", aria_label: "Put away",
      onclick: () => put.remove() }, icon("close")));
  [...notices.children].filter((each) => each.firstChild.textContent === words)
    .forEach((each) => each.remove());
  notices.append(put);
  if (kind === "good") setTimeout(() => put.remove(), 6000);
}

subscribe((changed) => {
  if (changed.has("goodbye")) return goodbye();
  if (changed.has("lost")) {
    document.body.classList.toggle("lost", state.lost);
    notices.querySelectorAll(".lost").forEach((each) => each.remove());
    if (state.lost) notices.append(h("div", { class: "notice bad lost" }, h("p", {},
      "Out of touch with the bench. What you did is written; this page waits for it.")));
  }
  if (changed.has("refused")) notice("bad", `${state.refused.what} ${state.refused.remedy}`.trim());
  if (changed.has("conflict"))
    notice("bad", `Not done: “${state.conflict.says}”. ${state.conflict.what} ${state.conflict.remedy}`);
  // What a squaring or a tracing writes is no surprise.
  if (changed.has("outside") && state.run?.state !== "running")
    notice("plain", state.outside === "cabinet.toml"
      ? "The definition was changed outside this page; what you see is what it says now."
      : `${state.outside} was changed outside this page; what you see is what it holds now.`);
  if (changed.has("definition")) drawBar();
  shown?.update?.(changed);
  if (changed.has("survey")) document.body.dataset.survey = state.survey?.state || "";
});

addEventListener("hashchange", moved);
addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || !here.name) return;
  const typing = event.target.matches("input, textarea, [contenteditable]");
  const key = event.key.toLowerCase();
  if (typing || (key !== "z" && key !== "y")) return;
  event.preventDefault();
  (key === "y" || event.shiftKey ? redo : undo)();
});
moved();
export { tell };
