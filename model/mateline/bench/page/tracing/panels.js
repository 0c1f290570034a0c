/* What stands beside the tracing paper: the tool's fields, what is chosen and what can be done with
   it, what is to be looked at, what was guessed, and what lies under the paper.
   `desk` is the view's, as grips.js has it; besides { face, path, told, take, drop, lay, under, show,
   set, colours, sizes, tape }.                                                                  */
import { h } from "../dom.js";
import { icon } from "../icons.js";
import { reading, word } from "../said.js";
import { notice } from "../shell.js";
import { appended, edit, state } from "../store.js";
import * as changes from "./changes.js";
import { kept, nearest, place } from "./geometry.js";
import { mmOf } from "./lengths.js";
import { edgesOf, isCircle } from "./paper.js";

const count = (n, one, more) => `${n} ${n === 1 ? one : more}`;
const TOGETHER = 26; // mm: as checks/guessed takes guesses for one place
const MOST_TOLD = 4; // faults of the paper in the list
const isColour = (thing) => "colour" in thing;

export function panels(desk) {
  return [titlePanel(desk), desk.chosen.length ? chosenPanel(desk) : toolPanel(desk), flawPanel(desk), guessPanel(desk), underPanel(desk)];
}

function titlePanel({ face, path, paper, told }) {
  const done = told.regions.filter((each) => each.colour).length;
  return h("section", { class: "panel plain" }, h("h2", {}, face || path),
    h("p", { class: "hint" }, `${path}, ${count(paper.borders.length, "line", "lines")}, ${done} of ${count(told.regions.length, "region", "regions")} coloured`));
}

/* ---- the tool in the hand */
function toolPanel(desk) {
  const { left } = desk;
  if (left.tool === "choose") return null;
  return h("section", { class: "panel" }, h("h2", {}, desk.toolLabel()),
    left.tool === "fill" && colourChips(desk, left.colour, (paint) => desk.set({ colour: paint })),
    left.tool === "template" && templateFields(desk),
    left.tool !== "fill" && typedPoint(desk));
}
function colourChips(desk, now, set) {
  return h("div", { class: "chips", role: "group", aria_label: "Colours" }, desk.colours().map(({ name, paint }) => {
    const dot = h("span", { class: "swatch" });
    dot.style.setProperty("--paint", paint);
    return h("button", { type: "button", data_key: `colour-${name}`, aria_pressed: String(now === paint), onclick: () => set(paint) }, dot, name);
  }));
}
function templateFields(desk) {
  const { left } = desk;
  return h("div", { class: "fields" },
    h("div", { class: "field" }, h("label", { for: "template-size" }, "Circle, across"),
      h("select", { id: "template-size", onchange: (event) => desk.set({ template: Number(event.target.value) }) },
        desk.sizes().map(([, words], which) => h("option", { value: which, selected: which === left.template }, words)))),
    h("div", { class: "field whole" }, h("span", { class: "label" }, "Laid on"),
      h("div", { class: "chips" }, [["middle", "by its middle"], ["ends", "touching two ends"]].map(([by, words]) =>
        h("button", { type: "button", data_key: `by-${by}`, aria_pressed: String(left.by === by), onclick: () => desk.set({ by }) }, words)))));
}
function typedPoint(desk) {
  const { spot, paper } = desk, tape = desk.tape();
  const field = (id, words, mm) => h("div", { class: "field" }, h("label", { for: id }, words),
    h("input", { type: "text", id, inputmode: "text", autocomplete: "off", placeholder: mm === null ? "" : reading(mm, tape) }));
  const form = h("form", { onsubmit: (event) => {
    event.preventDefault();
    const [right, up] = form.querySelectorAll("input");
    const x = mmOf(right.value, tape), y = mmOf(up.value, tape);
    if (x === null || y === null) return (x === null ? right : up).focus();
    desk.setPoint({ at: kept([x, paper.height - y]), kind: "free", edge: null });
    right.value = up.value = "";
    return right.focus();
  } }, h("div", { class: "fields" }, field("point-right", "Right", spot ? spot.at[0] : null),
    field("point-up", "Up", spot ? paper.height - spot.at[1] : null)),
  h("div", { class: "foot" }, h("button", { type: "submit", data_key: "set-point" }, icon("tick"), "Set the point")));
  return form;
}

/* ---- what is chosen */
const middleOf = (border) => {
  const es = edgesOf(border);
  return es.length > 1 ? es[Math.floor(es.length / 2)].a : es[0].whole ? es[0].a : place(es[0], 0.5);
};
function chosenPanel(desk) {
  const things = desk.chosen.map((key) => changes.find(desk.paper, key)).filter(Boolean), [one, two] = things;
  const act = (key, label, says, make) => h("button", { type: "button", data_key: `act-${key}`, onclick: () => {
    const made = make(desk.paper);
    if (made && made !== desk.paper) desk.commit(says, made);
    else notice("plain", "That can\u2019t be done with what is chosen.");
  } }, label);
  const title = things.length > 1 ? `${things.length} chosen` : isColour(one) ? `Colour ${desk.nameOf(one.colour)}` : desk.wordsOf(one);
  return h("section", { class: "panel" }, h("h2", {}, title),
    things.length === 1 && isColour(one) && colourChips(desk, one.colour, (paint) =>
      desk.commit(`Fill a region ${desk.nameOf(paint)}`, changes.painted(desk.paper, one.key, paint))),
    things.length === 1 && !isColour(one) && h("p", { class: "hint" }, "Hold shift to choose a second one."),
    h("div", { class: "bar-of-tools" },
      things.length === 1 && !isColour(one) && lonely(act, one),
      things.length === 2 && !things.some((each) => isColour(each) || isCircle(each)) && [
        act("join", "Make one of two", "Make two borders one", (paper) => changes.joined(paper, one.key, two.key)),
        act("parallel", "Parallel to the second", "Make a line parallel", (paper) => changes.parallel(paper, one.key, two.key)),
        act("tangent", "Tangent", "Make an arc tangent", (paper) => changes.tangent(paper, one.key, two.key))],
      h("button", { type: "button", class: "danger", data_key: "act-drop", onclick: desk.drop }, icon("trash"), "Take off")));
}
function lonely(act, one) {
  const es = edgesOf(one);
  return [
    !isCircle(one) && act("level", "Level", "Make a line level", (paper) => changes.level(paper, one.key)),
    !isCircle(one) && act("plumb", "Plumb", "Make a line plumb", (paper) => changes.plumb(paper, one.key)),
    !isCircle(one) && (es.length > 1 || es[0].centre) && act("straight", "Straight", "Make a line straight", (paper) => changes.straight(paper, one.key)),
    act("split", "Split in two", "Split a line in two", (paper) => changes.split(paper, one.key, middleOf(one)))];
}

/* ---- what is to be looked at */
function flawPanel(desk) {
  const { told } = desk, plain = (text) => text.replace(/#[0-9a-f]{6}/g, desk.nameOf), grave = told.flaws.filter((each) => each.kind !== "no-seed"), bare = told.flaws.length - grave.length;
  if (!told.flaws.length && !told.notes.length) return null;
  return h("section", { class: "panel" }, h("h2", {}, "To look at"), h("ul", { class: "rows" },
    grave.slice(0, MOST_TOLD).map((each, which) => h("li", { class: "row bad" }, h("span", { class: "value" }, plain(each.message)),
      h("button", { type: "button", data_key: `flaw-${which}`, onclick: () => desk.show(each) }, icon("eye"), "Show"))),
    grave.length > MOST_TOLD && h("li", { class: "row" }, h("span", { class: "value" }, `and ${grave.length - MOST_TOLD} more, ringed on the paper`)),
    bare > 0 && h("li", { class: "row" }, h("span", { class: "value" }, bare === 1 ? "One region has no colour: it keeps the base coat."
      : `${bare} regions have no colour: they keep the base coat.`))),
  told.notes.map((each) => h("p", { class: "hint" }, each)));
}
function guessPanel(desk) {
  const guesses = (state.survey?.findings || []).filter((each) => each.code === "art-guessed" && each.face === desk.face);
  if (!guesses.length || !desk.face) return null;
  const at = ({ at: [x, y] }) => [x, desk.paper.height - y];
  return h("section", { class: "panel" }, h("h2", {}, "Guessed"), h("ul", { class: "rows" }, guesses.map((each, which) => h("li", { class: "row" },
    h("span", { class: "value" }, each.message),
    h("button", { type: "button", data_key: `guess-${which}`, onclick: () => desk.show({ at: at(each), border: null, seed: null, message: "Guessed here:" }) }, icon("eye"), "Show"),
    h("button", { type: "button", data_key: `settle-${which}`, onclick: () => settle(desk, each) }, icon("tick"), "It is right"),
    marksNear(desk, at(each)).length > 0 && h("button", { type: "button", data_key: `anew-${which}`, onclick: () => desk.commit("Draw a guess anew: its mark is taken off",
      changes.without(desk.paper, marksNear(desk, at(each)).map((mark) => mark.key))) }, icon("pen"), "I drew it anew")))));
}
/* Marks of guesses that a finding tells of as one place. */
const marksNear = ({ paper }, at) => paper.marks.filter((mark) => edgesOf(mark).some((e) => nearest(e, at).d < TOGETHER));
/* A guess that was looked at: the definition says so from now on. */
function settle(desk, finding) {
  return edit("Settle a guess: it was looked at on the cabinet", (table) => [appended(table, "settled",
    { code: "art-guessed", face: desk.face, at: finding.at.map((mm) => word(mm, desk.tape())), because: "Looked at on the cabinet: the border runs there." })]);
}

/* ---- what lies under the paper */
function underPanel(desk) {
  const { face, path, under, left } = desk, files = state.files || [];
  const photos = files.filter((each) => /\.(png|jpe?g|tiff?|hei[cf])$/i.test(each.path) && (!face || !each.path.startsWith("squared/") || each.path === `squared/${face}.png`));
  const drawings = files.filter((each) => each.path !== path && (each.kind === "drawing" || each.kind === "borders"));
  const select = (id, words, chosen, list, act) => h("div", { class: "field whole" }, h("label", { for: id }, words),
    h("select", { id, onchange: (event) => act(event.target.value) }, [["", "nothing"], ...list.map((each) => [each.path, each.path])].map(([value, said]) =>
      h("option", { value, selected: value === chosen }, said))));
  return h("section", { class: "panel" }, h("h2", {}, "Under the paper"), h("div", { class: "fields" },
    select("under-what", "Photo or scan", under.path, photos, desk.lay),
    under.kind === "scan" && h("div", { class: "field" }, h("label", { for: "under-wide" }, "It is as wide as"),
      h("input", { type: "text", id: "under-wide", value: reading(under.wide, desk.tape()), onchange: (event) => {
        const wide = mmOf(event.target.value, desk.tape());
        if (wide > 0) desk.widen(wide);
      } })),
    under.path && h("div", { class: "field whole" }, h("label", { for: "under-show" }, "How much the paint covers it"),
      h("input", { type: "range", id: "under-show", min: 0, max: 1, step: 0.05, value: left.show, oninput: (event) => desk.cover(Number(event.target.value)) })),
    drawings.length > 0 && select("guides-what", "Borders of a drawing", desk.guiding, drawings, desk.guide),
    desk.guiding && h("p", { class: "hint whole" }, "They are caught; choose one to take it over.")));
}
