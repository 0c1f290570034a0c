/* The tape: an outline with its letters on one side, its readings on the other. What the drawing
   shows is what the tape's report says (GET C/outlines); before it has one, what was sketched.   */
import { fill, h } from "../dom.js";
import { faults, form, looseFaults, part, pointerTo, faultLine, reading, schemas } from "../form.js";
import { icon } from "../icons.js";
import { figure } from "../measuring/figure.js";
import { keypad } from "../measuring/keypad.js";
import { pen } from "../measuring/pen.js";
import { at, entriesOf, isSame, pairsIn, planned, typed } from "../measuring/readings.js";
import { rows } from "../measuring/rows.js";
import { added, another, apartTable, redrawn, removed, renamed, together } from "../measuring/shaping.js";
import { others } from "../measuring/others.js";
import { pairsOf, sketchOf } from "../measuring/sketch.js";
import { word } from "../said.js";
import { go } from "../shell.js";
import { edit, state, tell } from "../store.js";

const kept = new Map(); // which carcase and which side was last looked at, by cabinet

const lastKnown = new Map(); // corners, by cabinet, carcase and side

export default { title: "Measure", icon: "measure", show(host, _, more = []) {
  const view = { index: 0, which: "outline", picked: null, drawing: null, ...kept.get(state.name) };
  const name = state.name, beside = more[0] === "keypad";
  if (more[0] === "at") { // #/name/measure/at/body/right/A-C: to one reading, from a finding about it
    const index = (state.definition.table?.carcase || []).findIndex((each) => each.name === more[1]);
    if (index >= 0) Object.assign(view, { index, which: more[2], picked: more[3] ? { pair: more[3].split("-") } : null });
  }
  let alive = true, kit = null;

  const table = () => state.definition.table || {};
  const carcase = () => table().carcase?.[view.index];
  const where = () => ({ index: view.index, which: view.which });
  const called = () => `${carcase().name}${view.which === "outline" ? "" : ` ${view.which}`}`;

  /* All that is known of the outline that is shown. */
  function known() {
    const box = carcase();
    if (!box) return null;
    const isApart = Boolean(box.left || box.right) && !box.outline;
    if (isApart === (view.which === "outline")) view.which = isApart ? "left" : "outline";
    const measured = box[view.which], names = box.corners || [];
    const told = state.outlines?.outlines?.[called()], refused = state.outlines?.refused?.[called()];
    const entries = entriesOf(where(), measured?.readings);
    const stated = Boolean(measured?.points);
    const solved = told && !stated && told.corners.length === names.length ? told : null;
    // A reading taken out again may leave the outline open: it is shown as it was last known.
    const mark = JSON.stringify([name, where(), names]);
    const points = (solved ? solved.corners.map(({ x, y }) => [x, y])
      : sketchOf(names, measured, state.definition.tape, table().measures)) || lastKnown.get(mark) || null;
    if (points) lastKnown.set(mark, points);
    let next = planned(names, entries, points);
    if (solved) next = solved.measure_next ? pairsIn(solved.measure_next.label, names) : [];
    else if (!next.length && refused) next = pairsIn(refused.remedy, names).filter((pair) => !entries.some((each) => isSame(each.names, pair)));
    const bad = solved ? [solved.suspect?.label, ...solved.candidates].filter(Boolean) : [];
    const boards = Object.fromEntries(Object.entries(box.panels || {}).filter(([, each]) => each.edge).flatMap(([board, each]) => {
      const ends = each.edge.split("-");
      return [[ends.join("-"), board], [[...ends].reverse().join("-"), board]];
    }));
    return { box, isApart, measured, names, told, refused, entries, stated, solved, points, planned: next, bad, boards };
  }

  // ---- edits

  const tape = () => state.definition.tape;
  const own = () => (view.which === "outline" ? carcase().name : `${carcase().name}, ${view.which}`);
  function read(pair, text) {
    const value = reading(text);
    edit(`Set ${pair.join("-")} of ${own()} to ${text}`, () => {
      const { measured, names, points, solved, entries } = known();
      const old = entries.find((each) => each.kind === "distance" && isSame(each.names, pair));
      return old ? old.set(value) : typed(where(), pair, value, { measured, names, points, tape: tape(), solved });
    });
  }
  const change = (entry, value) => edit(`Set ${entry.label} of ${own()} to ${[value].flat().join(" and ")}`, entry.set(value));
  const drop = (entry) => edit(`Take ${entry.label} of ${own()} out`, entry.remove());

  // ---- the parts of the view

  const paper = figure({ onCorner, onEdge, onMove, margin: beside ? 0.28 : 0.17 });
  const list = rows({ onPick: pick, onRead: read, onChange: change, onDrop: drop });
  const stage = h("div", { class: "stage apart" }), side = h("div", { class: "side" });
  const tools = h("div", { class: "over" }), told = h("div", { class: "under" });
  const forms = {};

  function pick(names) {
    view.picked = names ? { pair: names } : null;
    list.pick(names);
    drawFigure();
    drawTools();
  }
  function onCorner(corner) {
    const first = view.picked?.corner;
    if (first && first !== corner) {
      const pair = [first, corner];
      view.picked = { pair };
      const { entries, planned: next } = known();
      if (![...entries.map((each) => each.names), ...next].some((each) => isSame(each, pair))) view.extra = pair;
      draw();
      return list.focus(pair);
    }
    view.picked = first === corner ? null : { corner };
    list.pick(null);
    drawFigure();
    drawTools();
  }
  function onEdge(pair) {
    if (!list.focus(pair)) {
      view.extra = pair;
      view.picked = { pair };
      draw();
      list.focus(pair);
    }
  }
  function onMove(corner, to) {
    edit(`Move corner ${corner} of ${own()}`, [{ op: "add", path: at(where(), "points", corner),
      value: to.map((each) => word(each, tape())) }]);
  }
  /* How the tape's report says it: "A-C reads about 29/32" too short. ..." */
  function slipOf(seen) {
    const label = seen.solved?.suspect?.label, words = /reads about (.*?)(?:, like .*)?\.(?: |$)/.exec(seen.solved?.said[0] || "");
    return label && words ? { pair: pairsIn(label, seen.names)[0], words: words[1] } : null;
  }
  function drawFigure() {
    const seen = known();
    if (!seen) return;
    const { tape: mark } = state.definition;
    paper.show({ names: seen.names, points: seen.points, path: seen.solved || seen.stated ? seen.told?.path : null,
      ellipses: seen.solved ? seen.solved.corners.map((each) => each.ellipse_95) : [],
      panels: seen.boards, view: seen.box.view, entries: seen.entries, bad: seen.bad, slip: slipOf(seen), curved: Object.keys(seen.measured?.curves || {}), next: beside ? null : seen.planned[0],
      picked: view.picked, movable: seen.stated, nudge: mark.system === "inch" ? 6.35 : 5 });
  }
  function drawTools() {
    const seen = known(), corner = view.picked?.corner, pair = view.picked?.pair;
    if (!seen) return;
    const at1 = pair && seen.names.indexOf(pair[0]);
    const isSide = pair && seen.names.includes(pair[1]) && [1, seen.names.length - 1].includes(Math.abs(at1 - seen.names.indexOf(pair[1])));
    const act = (words, patch) => () => {
      view.picked = null;
      edit(words, patch);
    };
    fill(tools,
      h("button", { type: "button", data_key: "pen", onclick: startPen }, icon("pen"), seen.points ? "Draw anew" : "Draw it"),
      seen.points && isSide && h("button", { type: "button", data_key: "add-corner", onclick: act(`Add a corner to ${own()}`,
        added(table(), where(), seen, pair, tape())) }, icon("plus"), `Corner in ${pair.join("\u2013")}`),
      seen.points && corner && seen.names.length > 3 && h("button", { type: "button", class: "danger", data_key: "out-corner",
        onclick: act(`Take corner ${corner} of ${own()} out`, removed(table(), where(), seen, corner)) }, icon("trash"), `Corner ${corner}`),
      h("span", { class: "gap" }),
      h("button", { type: "button", class: "tool", aria_label: "Show all of it", title: "Show all of it", data_key: "whole", onclick: paper.whole }, icon("whole")));
  }
  function drawTold() {
    const larger = Number(paper.el.dataset.larger), seen = known();
    fill(told, larger > 0 && h("p", {}, larger === 1 ? "Rings: where each corner is, 19 times out of 20."
      : `Rings: where each corner is, 19 times out of 20, drawn ${larger} times larger.`),
    seen?.stated && h("p", {}, "Drag a corner, or type a reading."));
  }
  paper.el.addEventListener("sized", drawTold);

  function startPen() {
    const tool = pen({ tape: tape(), view: carcase()?.view || "side", left: endPen, done: (points, boards) => {
      endPen();
      edit(`Draw the profile of ${own()}`, redrawn(table(), where(), points, tape(), boards));
    } });
    view.drawing = tool;
    fill(stage, tool.el, h("div", { class: "over" }, tool.tools), h("div", { class: "under" }, tool.told));
    tool.el.focus();
  }
  function endPen() {
    view.drawing = null;
    view.picked = null;
    fill(stage, paper.el, tools, told);
    draw();
  }

  function verdict(seen) {
    if (seen.refused && !seen.stated) {
      const left = seen.planned.length;
      const sketchy = seen.entries.length < 2 * seen.names.length - 3;
      return sketchy ? { tone: "note", words: [`${left} still to read.`, "The drawing is a sketch until enough is read."] }
        : { tone: "bad", words: [seen.refused.message, seen.refused.remedy] };
    }
    if (seen.stated) return { tone: "note", words: ["Drawn, not measured.", "Type what the tape reads; the drawing then follows the tape."] };
    if (!seen.solved) return { tone: "note", words: [seen.entries.length ? "Mend what is marked below." : "Nothing is measured yet."] };
    const tone = seen.solved.verdict === "closes" ? "good" : ["suspect", "cannot-tell"].includes(seen.solved.verdict) ? "bad" : "note";
    return { tone, words: seen.solved.said.map((each) => each.replace("The corners above", "The corners as drawn")) };
  }
  function offs(seen) {
    return Object.fromEntries((seen.solved?.reading_rows || []).slice(1).map((each) => [each[0], each[3]]));
  }

  function draw() {
    const seen = known();
    kept.set(name, { index: view.index, which: view.which });
    if (!seen) {
      fill(side, h("p", { class: "empty" }, "No carcase here yet."), h("button", { type: "button", class: "main",
        onclick: () => edit("Add a carcase", another(table(), tape())) }, icon("plus"), "Add one"), loose());
      return;
    }
    if (beside) return drawBeside(seen);
    drawFigure();
    drawTools();
    drawTold();
    const said = verdict(seen);
    const extra = view.extra && !seen.entries.some((each) => isSame(each.names, view.extra)) ? [view.extra] : [];
    list.show({ entries: seen.entries, off: offs(seen), bad: seen.bad, slip: slipOf(seen)?.words, suspect: seen.solved?.suspect?.label, planned: [...seen.planned.filter((pair) =>
      !extra.some((each) => isSame(each, pair))), ...extra], faults, unit: tape().unit });
    list.pick(view.picked?.pair);
    const scroll = side.scrollTop;
    fill(side, () => [choose(seen),
      h("section", { class: `panel verdict ${said.tone}`, role: "status" }, said.words.map((each) => h("p", {}, each))),
      h("section", { class: "panel", aria_labelledby: "readings-head" },
        h("div", { class: "head" }, h("h2", { id: "readings-head" }, "Readings"), h("button", { type: "button", data_key: "keypad",
          onclick: () => go(state.name, "measure", "keypad") }, icon("keypad"), "One by one")),
        seen.solved && h("p", { class: "reading-heads hint", aria_hidden: "true" }, h("span", {}, "read"), h("span", {}, "off by")), list.el,
        others(where(), seen, own())),
      h("section", { class: "panel", aria_labelledby: "box-head" }, h("h2", { id: "box-head" }, "Size and boards"), boxForm(seen)),
      h("section", { class: "panel" }, h("details", { open: view.more, ontoggle: (event) => { view.more = event.target.open; } },
        h("summary", {}, "Angles, square corners, curves"), measuredForm(seen))),
      standing(seen)]);
    side.append(loose() || "");
    side.scrollTop = scroll;
  }
  function loose() {
    const left = looseFaults(side).filter((each) => /^(carcase|tape|measures|title)/.test(each.place) || each.place === "");
    return left.length > 0 && h("section", { class: "panel", aria_label: "To be mended" }, left.map((each) => h("p", {}, h("strong", {}, each.place || "cabinet.toml"), ": ", faultLine(each).textContent)));
  }
  function choose(seen) {
    const all = table().carcase;
    const to = (index) => () => {
      Object.assign(view, { index, which: "outline", picked: null, extra: null });
      draw();
    };
    return h("div", {}, h("div", { class: "chips", role: "group", aria_label: "Carcases" }, all.map((each, index) => h("button", { type: "button",
      aria_pressed: String(index === view.index), data_key: `carcase-${index}`, onclick: to(index) }, each.name || `carcase ${index + 1}`)),
    h("button", { type: "button", data_key: "carcase-more", aria_label: "Add a carcase", title: "Add a carcase", onclick: () => {
      edit("Add a carcase", another(table(), tape())).then((done) => done && to(table().carcase.length - 1)());
    } }, icon("plus"))),
    seen.isApart && h("div", { class: "chips", role: "group", aria_label: "Sides" }, ["left", "right"].map((each) => h("button", { type: "button",
      aria_pressed: String(view.which === each), data_key: `side-${each}`, onclick: () => {
        Object.assign(view, { which: each, picked: null, extra: null });
        draw();
      } }, `${each === "left" ? "Left" : "Right"} side`))));
  }
  const formed = (key, of, value, pointer, options) => {
    if (!view.ready) return h("p", { class: "hint busy" }, "One moment");
    const id = `${key}${pointer}`;
    forms[id] ||= form(part(of), value, pointer, { ...options, key });
    forms[id].update(value, options);
    return forms[id].el;
  };
  function boxForm(seen) {
    const pointer = pointerTo("carcase", view.index), { box } = seen;
    const words = { side: "Width", front: "Depth", plan: "Height" }[box.view] || "Width";
    const other = seen.isApart
      ? () => edit(`Take both sides of ${box.name} as one`, together(where(), box, view.which))
      : () => edit(`Measure left and right of ${box.name} apart`, apartTable(where(), box));
    return h("div", {}, formed("box", "CarcaseTable", box, pointer, { only: ["width", "board", "view"], labels: { width: words }, of: box.name }),
      h("div", { class: "foot" },
        h("label", { class: "field" }, h("span", { class: "label" }, "Name"), h("input", { type: "text", id: "carcase-name", value: box.name, autocomplete: "off",
          onchange: (event) => edit(`Call ${box.name} ${event.target.value}`, renamed(table(), view.index, event.target.value.trim())) })),
        box.view === "side" && h("label", { class: "field tick-field" }, h("span", { class: "tick" }, h("input", { type: "checkbox", id: "sides-apart",
          checked: seen.isApart, onchange: other }), "Left and right measured apart")),
        table().carcase.length > 1 && h("button", { type: "button", class: "danger", data_key: "carcase-out", onclick: () => {
          const index = view.index;
          view.index = 0;
          edit(`Take ${box.name} out`, [{ op: "remove", path: pointer }]);
          return index;
        } }, icon("trash"), `Take ${box.name} out`)));
  }
  function measuredForm(seen) {
    const { names } = seen, sides = names.map((each, index) => `${each}-${names[(index + 1) % names.length]}`);
    return formed("measured", "MeasuredTable", seen.measured, at(where()), { only: ["square", "reflex", "angles", "curves"],
      choices: { square: names, reflex: names, tangent: names, curves: [...sides.map((each) => [each, each]), ...names.map((each) => [each, `round corner ${each}`])] },
      sets: ["square", "reflex", "tangent"], fresh: { curves: { rise: "" } }, help: { angles: "B for a bevel gauge there; “C-D to A-B” for a level set to 0 on A-B." }, of: own() });
  }
  function standing(seen) {
    const others1 = table().carcase.map((each) => each.name).filter((each) => each !== seen.box.name);
    if (!others1.length) return null;
    const under = table().carcase.find((each) => each.name === seen.box.stands_on?.carcase) || table().carcase.find((each) => each.name === others1[0]);
    const edges = (under?.corners || []).map((each, index) => `${each}-${under.corners[(index + 1) % under.corners.length]}`);
    return h("section", { class: "panel" }, h("details", { open: view.stands, ontoggle: (event) => { view.stands = event.target.open; } },
      h("summary", {}, "Where it stands"), formed("stands", "CarcaseTable", seen.box, pointerTo("carcase", view.index), { only: ["stands_on", "at"],
        choices: { carcase: others1, edge: edges }, fresh: { stands_on: { carcase: others1[0], edge: topOf(under, edges) } }, of: seen.box.name })));
  }
  const topOf = (box, edges) => Object.entries(box?.panels || {}).find(([board]) => board === "top" || board === "shelf")?.[1].edge || edges[0];

  // ---- beside the cabinet

  function drawBeside(seen) {
    const walk = pairsOf(seen.names), all = [...walk];
    for (const pair of [...seen.entries.filter((each) => each.kind === "distance").map((each) => each.names), ...seen.planned]) {
      if (!all.some((each) => isSame(each, pair))) all.push(pair);
    }
    const open = (pair) => seen.planned.some((each) => isSame(each, pair)) || seen.entries.some((each) => isSame(each.names, pair));
    const values = Object.fromEntries(seen.entries.map((each) => [each.label, [each.value].flat()[0]]));
    drawFigure();
    kit.show({ order: all.filter(open), values, boards: seen.boards, verdict: verdict(seen) });
  }

  if (beside) {
    kit = keypad({ tape: tape(), onRead: read, leave: () => go(name, "measure"), onPick: (pair) => {
      view.picked = pair ? { pair } : null;
      drawFigure();
    } });
    kit.stage.prepend(paper.el);
    fill(host, kit.el);
  } else {
    fill(stage, paper.el, tools, told);
    fill(host, h("div", { class: "split" }, stage, side));
    schemas().then(() => {
      view.ready = true;
      if (alive) tell("definition"); // drawn anew when nothing of it is in a hand
    });
  }
  draw();
  return { update(changed) {
    if (["definition", "outlines"].some((each) => changed.has(each)) && !view.drawing) draw();
  }, leave() { alive = false; } };
} };
