/* Hardware: a face, what is on it, and each place by two distances that light up. What is dragged moves
   in steps of the tape and becomes one edit; what it breaks is told at once.                        */
import { fill, h } from "../dom.js";
import { schemas } from "../form.js";
import { icon } from "../icons.js";
import { said } from "../said.js";
import { spaceView } from "../space.js";
import { appended, edit, face as faceData, state } from "../store.js";
import { Refusal } from "../wire.js";
import { faceBoard } from "../watching/faceboard.js";
import { faceChips, firstFace } from "../watching/facechips.js";
import { findingItem, settleWithReason } from "../watching/findings.js";
import { hardwareForm, KINDS, startOf } from "../watching/hardwareform.js";
import { firstHole, measuresOf, nearestEdges, placed, shifted, snapped, stated } from "../watching/moves.js";

export default { title: "Hardware", icon: "hardware", show(host, _, [asked, named] = []) {
  let now = firstFace(state.survey, asked), way = "face", picked = null, wanted = named || null, data = null, finding = null;
  let placing = null, lit = null, ready = false, gone = false;

  const board = faceBoard({ label: "The face with its hardware", onpiece: (_piece, at) => put(at) });
  const layer = h("g"), lights = h("g", { class: "lights" });
  board.marks.append(lights, layer);
  const top = h("div", { class: "over" }), word = h("div", { class: "under" });
  const flat = h("div", { class: "stage" }, board.canvas, board.svg, top, word), solid = h("div", { class: "stage", hidden: true });
  const overSpace = h("div", { class: "over" });
  let space = null;
  const side = h("div", { class: "side" }), heard = h("p", { class: "unseen", role: "status" });
  const faces = h("section", { class: "panel plain" }), list = h("section", { class: "panel" });
  const card = h("section", { class: "panel", hidden: true }), found = h("section", { class: "panel plain" });
  fill(side, faces, card, list, found, heard);
  fill(host, h("div", { class: "split watch" }, flat, solid, side));
  board.layers([]);

  const table = () => state.definition.table || {};
  const tape = () => state.definition.tape;
  const entry = (index = picked) => (index === null ? undefined : table().hardware?.[index]);
  const own = () => (table().hardware || []).map((each, index) => [each, index]).filter(([each]) => each.on === now);
  /* Where the definition has it, before the survey knows: [x, y] mm of the face, and how far that is from
     where its face shows it. */
  const atOf = (index) => (data && entry(index) ? stated(entry(index), index, data, tape(), table().measures) : undefined);
  const aheadOf = (index) => {
    const at = state.survey.of === state.definition.version ? null : atOf(index), hole = at && firstHole(data, index, entry(index));
    return hole ? [at[0] - hole.at[0], at[1] - hole.at[1]] : [0, 0];
  };

  // ---- the drawing

  async function drawFace() {
    if (!now) return;
    const name = now;
    try {
      data = await faceData(name);
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      return;
    }
    if (name !== now || gone) return;
    board.show(data);
    flat.dataset.shown = `${now} ${data.key}`;
    board.svg.setAttribute("aria-label", `${now} with its hardware`);
    if (wanted !== null) {
      const index = (table().hardware || []).findIndex((each) => each.name === wanted && each.on === now);
      wanted = null;
      if (index >= 0) choose(index, true);
    }
    drawGrips();
    drawCard();
  }
  function drawGrips() {
    if (!data || !tape()) return;
    const one = board.px(1), bad = new Set(state.survey.findings.filter((each) => each.face === now && each.hardware
      && each.level !== "note").map((each) => each.hardware));
    const byEntry = new Map();
    for (const hole of data.holes) {
      const key = hole.index === null ? hole.name : hole.index;
      byEntry.set(key, [...(byEntry.get(key) || []), hole]);
    }
    fill(layer, [...byEntry.entries()].map(([index, holes]) => grip(index, holes, one, bad)));
    drawLights();
  }
  function grip(index, holes, one, bad) {
    const each = entry(typeof index === "number" ? index : null), mine = each?.on === now;
    const el = h("g", { class: `hw${index === picked ? " picked" : ""}`, data_index: index, data_key: `grip-${index}`,
      tabindex: mine ? "0" : null, role: mine ? "button" : null, aria_label: mine ? spoken(each, index) : null,
      aria_pressed: mine ? String(index === picked) : null },
    h("g", { transform: `translate(0 ${-data.height})` }, holes.map((hole) => [h("path", { class: "clear", d: hole.clear }),
      h("path", { class: `hole${hole.stays ? " stays" : ""}${bad.has(hole.name) ? " bad" : ""}`, d: hole.d }),
      h("circle", { class: "touch-spot", cx: hole.at[0], cy: data.height - hole.at[1], r: 20 * one })])));
    const by = typeof index === "number" ? aheadOf(index) : [0, 0];
    if (by[0] || by[1]) el.setAttribute("transform", `translate(${by[0]} ${-by[1]})`);
    if (!mine) {
      el.classList.add("mirrored");
      if (each) el.addEventListener("click", () => chooseFace(each.on, each.name));
      return el;
    }
    moves(el, each, index);
    return el;
  }
  const spoken = (each, index) => `${each.name}, ${measuresOf(each, index, data, atOf(index))
    .map((measure) => `${said(measure.mm, tape())} ${measure.words}`).join(", ")}`;
  function moves(el, each, index) {
    let steps = [0, 0];
    const measures = () => measuresOf(each, index, data, atOf(index));
    const show = (by) => {
      const before = aheadOf(index), to = [before[0] + by[0], before[1] + by[1]];
      el.setAttribute("transform", `translate(${to[0]} ${-to[1]})`);
      drawLights(to);
    };
    const end = (by) => {
      const made = shifted(each, index, data, by, tape(), atOf(index));
      if (!made) return show([0, 0]);
      heard.textContent = made.says;
      edit(made.says, made.patch).then(drawGrips);
    };
    board.draggable(el, {
      start: () => choose(index),
      move: (by) => { if (measures().length) show(snapped(measures(), by, tape())); },
      end: (by) => { if (Math.hypot(...by) > 0) end(by); else show([0, 0]); },
      key: (by) => {
        if (picked !== index) choose(index);
        if (!measures().length) return;
        steps = steps.map((value, axis) => value + by[axis]);
        show(snapped(measures(), steps.map((value) => value * tape().graduation_mm), tape()));
      },
    });
    const taken = () => {
      const by = steps.map((value) => value * tape().graduation_mm);
      steps = [0, 0];
      if (by[0] || by[1]) end(by);
    };
    el.addEventListener("keyup", (event) => { if (event.key.startsWith("Arrow")) taken(); });
    el.addEventListener("blur", taken);
    el.addEventListener("keydown", (event) => {
      if (event.key === "Enter" || event.key === " ") { event.preventDefault(); choose(index); }
      if (event.key === "Delete") remove(index);
    });
    el.addEventListener("focus", () => { if (picked !== index) choose(index, false, true); });
  }
  /* The edges that the chosen one is measured from, and how far it is from each. */
  function drawLights(by = aheadOf(picked)) {
    const each = entry();
    if (!data || !each || each.on !== now || !tape()) return fill(lights);
    const hole = firstHole(data, picked, each), at = hole && [hole.at[0] + by[0], hole.at[1] + by[1]];
    const size = board.px(15);
    fill(lights, measuresOf(each, picked, data, at).map((measure) => {
      const { edge, way, mm, key } = measure, foot = [at[0] - way[0] * mm, at[1] - way[1] * mm];
      const middle = [(at[0] + foot[0]) / 2, (at[1] + foot[1]) / 2];
      return h("g", {}, edge && h("path", { class: `edge-lit${lit && lit !== key ? " dim" : ""}`, d: `M${edge.from[0]} ${-edge.from[1]}L${edge.to[0]} ${-edge.to[1]}` }),
        h("path", { class: "distance", d: `M${at[0]} ${-at[1]}L${foot[0]} ${-foot[1]}` }),
        h("text", { class: "distance-said", x: middle[0], y: -middle[1], font_size: size }, said(mm, tape())));
    }));
  }
  board.onzoom(drawGrips);

  // ---- placing a new one

  function put(at) {
    if (!placing) {
      if (picked !== null) choose(null);
      return;
    }
    const kind = placing;
    placing = null;
    add(kind, at);
  }
  async function add(kind, at) {
    const panels = nearestEdges(data, at), taken = new Set((table().hardware || []).map((each) => each.name));
    let name = kind === "round" ? "hole" : kind === "countersunk" ? "screw" : kind;
    for (let next = 2; taken.has(name); next += 1) name = `${name.replace(/ \d+$/, "")} ${next}`;
    const made = { name, kind, ...startOf(kind, tape()), on: now, from: placed(data, panels, at, tape()) };
    const well = await edit(`Add ${name} to ${now}, ${panels.map((panel) => `${made.from[panel]} from the ${panel}`).join(" and ")}`,
      (present) => [appended(present, "hardware", made)]);
    if (well) choose((table().hardware || []).findIndex((each) => each.name === name));
    drawAll();
  }
  function remove(index) {
    const { name } = entry(index);
    picked = null;
    edit(`Take ${name} away`, [{ op: "remove", path: `/hardware/${index}` }]);
  }

  // ---- lists and fields

  function choose(index, reveal = false, quiet = false) {
    const before = picked;
    picked = index;
    lit = null;
    for (const el of layer.children) {
      const is = el.dataset.index === String(index);
      el.classList.toggle("picked", is);
      if (el.hasAttribute("role")) el.setAttribute("aria-pressed", String(is));
    }
    if (reveal && atOf(index)) board.reveal(atOf(index), Math.max(250, data.width / 3));
    drawLights();
    if (before === index && !reveal) return;
    drawList();
    drawCard();
    if (!quiet) drawFound();
  }
  function drawList() {
    const rows = own();
    fill(list, h("div", { class: "head" }, h("h2", {}, `On ${now || "this face"}`)),
      rows.length ? h("ul", { class: "rows" }, rows.map(([each, index]) => h("li", { class: "row", aria_current: index === picked ? "true" : null },
        h("button", { type: "button", class: "quiet name", data_key: `hw-${index}`, onclick: () => {
          choose(index, true);
          card.scrollIntoView({ block: "nearest" });
        } }, each.name),
        h("span", { class: "value hint" }, [each.kind ? KINDS[each.kind].words : each.group, each.size || "", each.state === "stays" ? "stays" : "",
          each.both_sides ? "both sides" : ""].filter(Boolean).join(", ")))))
        : h("p", { class: "hint" }, "Nothing on it yet."),
      placing ? h("div", { class: "chips" }, h("p", { role: "status" }, "Click on the face where it goes."),
        h("button", { type: "button", class: "main", data_key: "middle", onclick: () => put([data.width / 2, data.height / 2]) }, "In the middle"),
        h("button", { type: "button", data_key: "not", onclick: () => { placing = null; drawAll(); } }, "Not now"))
        : h("div", { class: "chips", role: "group", aria_label: "Add" }, Object.entries(KINDS).map(([kind, { words }]) => h("button", { type: "button",
          data_key: `add-${kind}`, disabled: !data || !tape(), onclick: () => { placing = kind; setWay("face"); drawAll(); list.querySelector("[data-key=middle]").focus(); } },
        icon("plus"), words))));
    flat.classList.toggle("placing", Boolean(placing));
  }
  function drawCard() {
    const each = entry();
    card.hidden = !each || !ready || !data || !tape();
    if (card.hidden) return fill(card);
    fill(card, h("div", { class: "head" }, h("h2", {}, each.name), h("button", { type: "button", class: "tool", aria_label: `Take ${each.name} away`,
      title: `Take ${each.name} away`, data_key: "card-out", onclick: () => remove(picked) }, icon("trash")),
    h("button", { type: "button", class: "tool", aria_label: "Put away", title: "Put away",
      data_key: "card-close", onclick: () => choose(null) }, icon("close"))),
    ...hardwareForm(each, picked, { face: data, tape: tape(), at: atOf(picked), light: (panel) => { lit = panel; drawLights(); } }),
    measuresOf(each, picked, data, atOf(picked)).length === 0 && h("p", { class: "hint" },
      "It is measured from corners or along a curve, so its place is typed, not dragged."));
  }
  function drawFound() {
    const { survey } = state, mine = entry()?.name;
    const all = survey.findings.filter((each) => each.face === now), of = (each) => Boolean(mine && each.hardware?.startsWith(mine));
    all.sort((one, other) => of(other) - of(one));
    fill(found, h("div", { class: "head" }, h("h2", {}, "What it breaks"), survey.state === "working" && h("span", { class: "busy" }, "looking again"),
      survey.since?.said && h("span", { class: "tag" }, survey.since.said)),
    [...survey.faults, ...(survey.faults.length ? [] : state.definition.faults)].map((each) => h("p", { class: "fault" }, `${each.place ? `${each.place}: ` : ""}${each.what} ${each.remedy}`)),
    all.length ? h("ul", { class: "findings" }, all.map((each) => findingItem(each, { open: each === finding, data, choose: () => {
      finding = finding === each ? null : each;
      if (finding?.at) board.reveal(finding.at, Math.max(200, data.width / 4));
      drawFound();
    }, settle: () => settleWithReason(each, survey.findings, tape()) }))) : h("p", { class: "hint" }, "Nothing on this face."));
  }
  function drawFaces() {
    fill(faces, state.survey.faces.length ? faceChips(state.survey, now, chooseFace)
      : h("p", { class: "empty" }, "Faces come as soon as the outlines close."));
    const ways = () => h("div", { class: "chips", role: "group", aria_label: "What is shown" }, [["face", "Face"], ["space", "Cabinet"]]
      .map(([key, words]) => h("button", { type: "button", data_key: `way-${key}`, aria_pressed: String(way === key), onclick: () => setWay(key) }, words)));
    fill(top, ways(), h("div", { class: "chips" }, [["plus", "Nearer", () => board.closer(1.6)], ["minus", "Farther", () => board.closer(1 / 1.6)],
      ["whole", "All of it", board.whole]].map(([sign, words, act]) => h("button", { type: "button", class: "tool", data_key: sign,
      aria_label: words, title: words, onclick: act }, icon(sign)))));
    fill(overSpace, ways());
  }
  function drawAll() {
    drawFaces();
    drawList();
    drawGrips();
    drawCard();
    drawFound();
  }
  function chooseFace(name, hardware = null) {
    now = name;
    picked = null;
    finding = null;
    wanted = typeof hardware === "string" ? hardware : null;
    data = null;
    fill(layer);
    fill(lights);
    drawFaces();
    drawList();
    drawCard();
    drawFound();
    space?.choose({ face: now });
    drawFace().then(() => drawList());
  }
  function setWay(next) {
    if (way === next) return;
    way = next;
    flat.hidden = way !== "face";
    solid.hidden = way !== "space";
    if (way === "space" && !space) {
      space = spaceView(solid, { label: "The painted cabinet. Click a face to see its hardware.", more: [overSpace],
        onface: (face) => { setWay("face"); chooseFace(face); } });
    }
    space?.choose({ face: now });
    drawFaces();
  }

  drawAll();
  drawFace().then(drawList);
  schemas().then(() => {
    ready = true;
    if (!gone) drawCard();
  });
  return {
    update(changed) {
      if (changed.has("definition")) {
        if (picked !== null && entry()?.on !== now) picked = null;
        drawList();
        drawCard();
        drawGrips();
      }
      if (!changed.has("survey")) return;
      if (!state.survey.faces.some((each) => each.name === now)) now = firstFace(state.survey, asked);
      if (finding) finding = state.survey.findings.find((each) => each.code === finding.code && each.face === finding.face
        && each.hardware === finding.hardware && each.piece === finding.piece) || null;
      drawFaces();
      drawFound();
      if (state.survey.state === "working") return;
      drawFace().then(drawList);
      space?.update(changed);
      if (state.survey.since?.said) heard.textContent = state.survey.since.said;
    },
    leave() {
      gone = true;
      space?.leave();
    },
  };
} };
