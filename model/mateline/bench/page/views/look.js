/* What has come of it: pieces, tacks and joins on each face and on the cabinet in space, the passes, and
   what the checks found, each with its place and what can be done about it.                        */
import { fill, h } from "../dom.js";
import { faceBoard } from "../watching/faceboard.js";
import { faceChips, firstFace } from "../watching/facechips.js";
import { findingItem, settleWithReason } from "../watching/findings.js";
import { icon } from "../icons.js";
import { areaSaid } from "../watching/remedies.js";
import { spaceView } from "../space.js";
import { at as address, edit, face as faceData, state } from "../store.js";
import { get, Refusal } from "../wire.js";

const KRAFT = "#c39d68", LAYERS = [["ids", "Names"], ["tacks", "Tacks"], ["joins", "Joins"]];
const LEVELS = [["stop", "Stops"], ["warn", "Warnings"], ["note", "Notes"]];

export default { title: "Look", icon: "look", show(host, _, [asked, about = null] = []) {
  let now = firstFace(state.survey, asked), way = "face", picked = null, finding = null, plan = null, pass = null;
  let level = null, here = false, led = false, layers = new Set(["ids", "joins", "holes"]), data = null;

  const board = faceBoard({ label: "The face with its pieces", onpiece: (piece) => choosePiece(piece ? piece.id : null) });
  const top = h("div", { class: "over" }), foot = h("div", { class: "under" });
  const flat = h("div", { class: "stage" }, board.canvas, board.svg, top, foot);
  const solid = h("div", { class: "stage", hidden: true });
  const ways = () => h("div", { class: "chips", role: "group", aria_label: "What is shown" }, [["face", "Face"], ["space", "Cabinet"]]
    .map(([key, words]) => h("button", { type: "button", data_key: `way-${key}`, aria_pressed: String(way === key),
      onclick: () => setWay(key) }, words)));
  const overSpace = h("div", { class: "over" });
  let space = null;
  const side = h("div", { class: "side" }), heard = h("p", { class: "unseen", role: "status" });
  const faces = h("section", { class: "panel plain" }), card = h("section", { class: "panel", hidden: true, aria_live: "polite" });
  const list = h("section", { class: "panel plain", aria_labelledby: "found" }), passes = h("section", { class: "panel" });
  const settled = h("section", { class: "panel plain" });
  fill(side, faces, card, list, settled, passes, heard);
  fill(host, h("div", { class: "split watch" }, flat, solid, side));

  // ---- pieces and passes

  const paintOf = (piece, face = now) => {
    if (pass === null || !plan) return piece.paint;
    const { lifted } = plan.passes[pass];
    return (lifted[face] || []).includes(piece.id) ? piece.paint : KRAFT;
  };
  async function drawFace() {
    if (!now) return;
    try {
      data = await faceData(now);
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      return;
    }
    if (data.name !== now) return; // another one was chosen meanwhile
    board.svg.setAttribute("aria-label", `${now} with its ${data.pieces.length} pieces`);
    board.fill(paintOf);
    board.show(data);
    board.pick(picked);
    drawMarks();
    drawCard();
    drawFoot();
    const first = about && state.survey.findings.find((each) => String(each.number) === about);
    about = null;
    if (first) chooseFinding(first, false);
    if (led) leads();
    if (finding) drawList();
    flat.dataset.shown = `${now} ${data.key}`;
  }
  /* To the place of the finding that was chosen, once its face is there. */
  function leads() {
    if (!led || !finding || data?.name !== finding.face) return;
    led = false;
    if (finding.piece) choosePiece(finding.piece);
    if (finding.at) board.reveal(finding.at, Math.max(160, data.width / 4));
  }
  function drawMarks() {
    const here = state.survey.findings.filter((each) => each.face === now && each.at);
    fill(board.marks, here.map((each) => h("g", { class: `mark ${each.level}${each === finding ? " chosen" : ""}`, data_number: each.number },
      h("circle", { cx: each.at[0], cy: -each.at[1], r: board.px(each === finding ? 13 : 8) }),
      h("circle", { class: "touch-spot", cx: each.at[0], cy: -each.at[1], r: board.px(20), onclick: () => chooseFinding(each) }))));
    space?.marks(state.survey.findings.filter((each) => each.face).map((each) => ({ face: each.face, at: each.at,
      level: each.level, id: each.number, chosen: each === finding })));
  }
  board.onzoom(() => state.survey && drawMarks());
  function choosePiece(id) {
    picked = id;
    board.pick(id);
    drawCard();
    drawFoot();
  }
  function drawFoot() {
    const piece = data?.pieces.find((each) => each.id === picked);
    fill(foot, piece ? h("p", {}, h("span", { class: "swatch", style: {} }), ` ${piece.id}: ${piece.colour}`) : null);
    const swatch = foot.querySelector(".swatch");
    if (swatch) swatch.style.setProperty("--paint", piece.paint);
  }
  function drawCard() {
    const piece = data?.pieces.find((each) => each.id === picked);
    card.hidden = !piece;
    if (!piece) return fill(card);
    const tape = state.definition.tape, tacks = piece.tacks.length;
    const found = state.survey.findings.filter((each) => each.piece === piece.id);
    fill(card, h("div", { class: "head" }, h("h2", {}, piece.id), h("button", { type: "button", class: "tool", aria_label: "Put away",
      data_key: "card-close", onclick: () => choosePiece(null) }, icon("close"))),
    h("p", {}, `${piece.colour}, ${tape ? areaSaid(piece.area, tape) : ""}, ${tacks} ${tacks === 1 ? "tack" : "tacks"}`),
    found.length > 0 && h("ul", { class: "plain-list" }, found.map((each) => h("li", {}, h("button", { type: "button", class: "quiet",
      onclick: () => chooseFinding(each) }, `Finding ${each.number}`)))));
  }
  function findPiece(text) {
    const wanted = text.trim().toLowerCase(), piece = data?.pieces.find((each) => each.id.toLowerCase() === wanted || each.short.toLowerCase() === wanted);
    if (!piece) {
      heard.textContent = `There is no piece ${text} on ${now}.`;
      return;
    }
    choosePiece(piece.id);
    board.reveal(piece.at, Math.max(120, 8 * piece.room));
  }
  function drawPasses() {
    if (!plan) {
      return fill(passes, h("h2", {}, "Painting"), h("p", { class: "hint" }, "Colour by colour, which pieces come off."),
        h("button", { type: "button", data_key: "passes", onclick: loadPlan }, "Show the passes"));
    }
    const names = [["", "Finished"], ...plan.passes.map((each, at) => [String(at), each.order ? `${each.order}. ${each.colour}` : `Base coat: ${each.colour}`])];
    const chosen = pass === null ? null : plan.passes[pass];
    const off = chosen ? Object.entries(chosen.lifted) : [];
    fill(passes, h("h2", {}, "Painting"), h("div", { class: "chips", role: "group", aria_label: "Passes" }, names.map(([key, words]) =>
      h("button", { type: "button", data_key: `pass-${key}`, aria_pressed: String(String(pass ?? "") === key), onclick: () => {
        pass = key === "" ? null : Number(key);
        board.fill(paintOf);
        space?.repaint();
        drawPasses();
      } }, words))),
    chosen && h("p", {}, chosen.why),
    off.map(([face, ids]) => h("p", { class: "hint" }, `Off ${face}: ${ids.map((id) => id.replace(`${face} `, "")).join(", ")}.`)));
  }
  async function loadPlan() {
    try {
      plan = await get(address("plan"));
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      plan = null;
    }
    if (plan && pass !== null && pass >= plan.passes.length) pass = null;
    board.fill(paintOf);
    drawPasses();
  }

  // ---- findings

  function chooseFinding(each, focus = true) {
    finding = finding === each ? null : each;
    led = Boolean(finding);
    if (finding?.face && finding.face !== now) chooseFace(finding.face);
    else leads();
    if (finding?.face && way === "space") space?.toward(finding.face);
    drawMarks();
    drawList();
    const item = list.querySelector(`#finding-${each.number}`);
    if (focus) item?.querySelector("button").focus({ preventScroll: true });
    item?.scrollIntoView({ block: "nearest", behavior: matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth" });
  }
  function drawList() {
    const { survey } = state, all = survey.findings;
    const shown = all.filter((each) => (!level || each.level === level) && (!here || each.face === now));
    const count = (key) => all.filter((each) => each.level === key && (!here || each.face === now)).length;
    fill(list, h("div", { class: "head" }, h("h2", { id: "found" }, "What was found"),
      survey.state === "working" ? h("span", { class: "busy" }, "looking again") : null,
      survey.since?.said && h("span", { class: "tag", data_since: "" }, survey.since.said)),
    survey.faults.length > 0 && survey.faults.map((each) => h("p", { class: "fault" }, `${each.place ? `${each.place}: ` : ""}${each.what} ${each.remedy}`)),
    h("div", { class: "chips", role: "group", aria_label: "Which are listed" },
      LEVELS.map(([key, words]) => h("button", { type: "button", data_key: `level-${key}`, class: `level ${key}`,
        aria_pressed: String(level === key), onclick: () => { level = level === key ? null : key; drawList(); } },
      words, h("span", { class: "number" }, String(count(key))))),
      h("button", { type: "button", data_key: "here", aria_pressed: String(here), onclick: () => { here = !here; drawList(); } }, "This face only")),
    shown.length ? h("ul", { class: "findings" }, shown.map((each) => findingItem(each, { open: each === finding, data,
      choose: () => chooseFinding(each), settle: () => settle(each) })))
      : h("p", { class: "empty" }, all.length ? "Nothing of this kind." : nothing(survey)));
    const { settled: done } = survey;
    fill(settled, done.length > 0 && h("details", {}, h("summary", { data_key: "settled" }, `Settled: ${done.length}`),
      h("ul", { class: "rows" }, done.map((each) => h("li", { class: "row" },
        h("span", { class: "value" }, each.message, h("br"), h("em", {}, each.because)), unsettle(each))))));
  }
  /* That nothing was found is said only by who has looked. */
  const nothing = ({ state: how, of }) => (how === "refused" ? "" : of === null ? "The cabinet is being looked at." : "Nothing was found.");
  function unsettle(each) {
    const index = (state.definition.table.settled || []).findIndex((entry) => entry.code === each.code && entry.because === each.because);
    return index >= 0 && h("button", { type: "button", onclick: () => edit(`Take back that “${each.because}” settles a finding`,
      [{ op: "remove", path: `/settled/${index}` }]) }, "Take back");
  }
  async function settle(each) {
    if (await settleWithReason(each, state.survey.findings, state.definition.tape)) finding = null;
  }

  // ---- what is shown

  function chooseFace(name) {
    now = name;
    picked = null;
    drawFaces();
    space?.choose({ face: now });
    drawFace();
    if (here) drawList();
  }
  function drawFaces() {
    fill(faces, faceChips(state.survey, now, chooseFace), h("form", { class: "with-unit find", role: "search", onsubmit: (event) => {
      event.preventDefault();
      findPiece(event.target.elements.find.value);
    } }, h("label", { for: "find" }, "Find a piece"), h("input", { type: "text", id: "find", name: "find", placeholder: "G14", autocomplete: "off" }),
    h("button", { type: "submit", class: "tool", aria_label: "Find", title: "Find", data_key: "find-go" }, icon("search"))));
    fill(top, ways(), h("div", { class: "chips", role: "group", aria_label: "On the face" }, LAYERS.map(([key, words]) => h("button", {
      type: "button", data_key: `layer-${key}`, aria_pressed: String(layers.has(key)), onclick: () => {
        if (!layers.delete(key)) layers.add(key);
        board.layers(layers);
        drawFaces();
      } }, words))), h("div", { class: "chips" },
      [["plus", "Nearer", () => board.closer(1.6)], ["minus", "Farther", () => board.closer(1 / 1.6)], ["whole", "All of it", board.whole]]
        .map(([sign, words, act]) => h("button", { type: "button", class: "tool", data_key: sign, aria_label: words, title: words,
          onclick: act }, icon(sign)))));
    fill(overSpace, ways());
  }
  function setWay(next) {
    way = next;
    flat.hidden = way !== "face";
    solid.hidden = way !== "space";
    if (way === "space" && !space) {
      space = spaceView(solid, { label: "The painted cabinet.", fill: paintOf, more: [overSpace],
        onface: (face, _at, piece) => {
          if (face !== now) chooseFace(face);
          if (piece) choosePiece(piece.id);
        }, onmark: (mark) => chooseFinding(state.survey.findings.find((each) => each.number === mark.id)) });
      space.choose({ face: now });
    }
    drawFaces();
    drawMarks();
    (way === "face" ? flat : solid).querySelector(`[data-key="way-${way}"]`)?.focus({ preventScroll: true });
  }

  const artCame = () => finding && drawList();
  document.addEventListener("art-known", artCame);
  board.layers(layers);
  drawFaces();
  drawFace();
  drawList();
  drawPasses();
  return {
    update(changed) {
      if (!changed.has("survey")) return;
      const { survey } = state;
      if (!survey.faces.some((each) => each.name === now)) now = firstFace(survey, asked);
      if (finding) finding = survey.findings.find((each) => each.code === finding.code && each.face === finding.face
        && each.piece === finding.piece && each.hardware === finding.hardware) || null;
      drawFaces();
      drawList();
      if (survey.state !== "working") {
        drawFace();
        space?.update(changed);
        if (plan) loadPlan();
        if (survey.since?.said) heard.textContent = survey.since.said;
      }
    },
    leave() {
      document.removeEventListener("art-known", artCame);
      space?.leave();
    },
  };
} };
