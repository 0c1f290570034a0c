/* Art: the drawings on the cabinet, each dragged, turned, scaled, matched by landmarks, wrapped, cast
   or mirrored; and the photos that drawings are traced from. #/cabinet/art/FACE/INDEX             */
import { fill, h } from "../dom.js";
import { form, part, pointerTo, reading, schemas } from "../form.js";
import { icon } from "../icons.js";
import { word } from "../said.js";
import { go, notice } from "../shell.js";
import { spaceView } from "../space.js";
import { edit, face as faceData, faceArt, putFile, state } from "../store.js";
import { Refusal } from "../wire.js";
import { linesOf } from "../tracing/chooser.js";
import { added, facesOf, freeName, landmarkOps, listOf, moved, removed, set, SIDES, titleOf, WAYS, wayOf, wayOps, wayWords, wordsOf } from "../placing/entries.js";
import { addPhoto, photosPanel } from "../placing/photos.js";
import { drawingOf, drawingPicture, facePicture, shapesOf } from "../placing/pictures.js";
import { artSheet } from "../placing/sheet.js";

const DRAWING = /\.(svg|dxf)$/i, PHOTO = /\.(jpe?g|png|tiff?|heic|heif)$/i;
const PLACED = ["anchor", "to", "offset", "turn", "scale", "fit"], WHICH = ["only", "leave_out", "reads_one_way", "bleed"];
const LABELS = { anchor: "Point of the drawing", to: "Point of the face", offset: "Offset", turn: "Turn", scale: "Scale", fit: "Fit",
  only: "Only these parts", leave_out: "Parts left out", reads_one_way: "Reads one way", bleed: "Runs off its face",
  onto: "Onto", mirror: "Mirror of", cast: "Cast from the", warp: "Bend it to meet all landmarks", ignored_landmarks: "Landmarks to ignore" };
const HELP = { to: "The point of the drawing comes to it.", offset: "From there on.", turn: "Counter-clockwise.", scale: "Times its own size.",
  bleed: "On purpose, so that no finding tells of it.", reads_one_way: "Lettering: not mirrored with the other side." };
const SMALL = 14; // faces that have their pictures shown

export default { title: "Art", icon: "art", show(host, _, [asked, which] = []) {
  const faces = () => state.survey?.faces || [], art = () => state.definition.table?.art || [], tape = () => state.definition.tape;
  let now = faces().some((each) => each.name === asked) ? asked : facesOf(art()[0] || {})[0] || faces()[0]?.name || null;
  let picked = which === undefined ? null : Number(which), landmark = null, space = null, solid = false, gone = false, ready = false, made = null, drawn = "";
  const board = artSheet({ onpick: pick, onput: put, onpoint: pointed, tape,
    paints: () => Object.fromEntries((state.survey?.palette || []).map((each) => [each.name, each.paint])) });
  const tools = h("div", { class: "over" }), under = h("div", { class: "under" }, board.word);
  const flat = h("div", { class: "stage art-stage" }, board.svg, tools, under), room = h("div", { class: "stage", hidden: true }), overRoom = h("div", { class: "over" });
  const side = h("div", { class: "side" });
  fill(host, h("div", { class: "split art" }, flat, room, side));
  const chooser = h("input", { type: "file", id: "art-file", multiple: true, hidden: true,
    accept: ".svg,.dxf,.jpg,.jpeg,.png,.tif,.tiff,.heic,.heif", onchange: () => { take([...chooser.files]); chooser.value = ""; } });

  /* ---- what is seen */
  async function draw() {
    drawTools();
    drawSide();
    if (!now || !faces().some((each) => each.name === now)) return;
    try {
      const [face, lying] = await Promise.all([faceData(now), faceArt(now)]);
      if (!gone && face.name === now) board.show(face, { art: lying.art, key: lying.key }, art(), picked);
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
    }
  }
  function drawTools() {
    const chips = () => h("div", { class: "chips", role: "group", aria_label: "What is shown" },
      [["Face", false], ["Cabinet", true]].map(([words, on]) => h("button", { type: "button", data_key: `show-${words}`, aria_pressed: String(solid === on), onclick: () => turnTo(on) }, words)));
    fill(tools, chips(), landmark && h("p", { class: "notice plain" }, landmark.name ? `Now set where ${landmark.name} is on the face.` : "Click a part of the drawing that has a name.",
      h("button", { type: "button", data_key: "landmark-end", onclick: () => match(null) }, "Enough")));
    fill(overRoom, chips());
    under.hidden = solid;
  }
  function turnTo(on) {
    solid = on;
    flat.hidden = on;
    room.hidden = !on;
    if (on && !space) space = spaceView(room, { label: "The painted cabinet.", more: [overRoom], onface: (face) => { now = face; turnTo(false); } });
    draw();
  }
  function drawSide() {
    fill(side, chooser, facesPanel(), listPanel(), addPanel(), photosPanel(turnFace));
  }
  function facesPanel() {
    const all = faces();
    if (!all.length) return h("p", { class: "empty" }, "There is no face yet. Measure the cabinet first.");
    if (all.length > SMALL) return h("div", { class: "field" }, h("label", { for: "art-face" }, "Face"),
      h("select", { id: "art-face", onchange: (event) => turnFace(event.target.value) }, all.map((each) => h("option", { value: each.name, selected: each.name === now }, each.name))));
    return h("div", { class: "cards small faces", role: "group", aria_label: "Faces" }, all.map((each) => h("button", { type: "button", class: "card", data_key: `face-${each.name}`,
      aria_pressed: String(each.name === now), onclick: () => turnFace(each.name) }, facePicture(each.name), each.name)));
  }
  function listPanel() {
    const all = art();
    return h("section", { class: "panel" }, h("h2", {}, "Drawings"), !all.length && h("p", { class: "hint" }, "No drawing yet. Drop one on the face, or add one below."),
      h("ul", { class: "rows" }, [...all].map((entry, index) => [entry, index]).reverse().map(([entry, index]) => [h("li", { class: `row${index === picked ? " picked" : ""}` },
        h("button", { type: "button", class: "quiet entry", data_key: `entry-${index}`, aria_pressed: String(index === picked), onclick: () => { pick(index === picked ? null : index, true); } },
          entry.drawing ? drawingPicture(entry.drawing) : h("span", { class: "small-picture" }, icon("mirror")),
          h("span", {}, h("span", { class: "name" }, titleOf(entry)), h("span", { class: "hint" }, wordsOf(entry)))),
        tool("up", `${titleOf(entry)} over the next one`, `up-${index}`, () => shift(index, 1), index === all.length - 1),
        tool("down", `${titleOf(entry)} under the one before`, `down-${index}`, () => shift(index, -1), index === 0),
        tool("trash", `Take ${titleOf(entry)} off`, `off-${index}`, () => { picked = null; edit(`Take ${titleOf(entry)} off`, removed(index)); })), index === picked && h("li", { class: "open-entry" }, entryPanel(entry))])));
  }
  const tool = (sign, label, key, act, off = false) => h("button", { type: "button", class: "tool", aria_label: label, title: label, data_key: key, disabled: off, onclick: act }, icon(sign));

  /* ---- the chosen one */
  function entryPanel(entry) {
    const way = wayOf(entry), pointer = pointerTo("art", picked), names = faces().map((each) => each.name);
    const only = [...(way === "mirror" ? ["mirror", "onto"] : way === "cast" ? ["cast", "onto"] : []),
      ...(entry.landmarks ? ["warp", "ignored_landmarks"] : way === "mirror" ? [] : PLACED), ...(way === "mirror" ? ["only", "leave_out"] : WHICH)];
    const elements = made?.path === entry.drawing ? made.told?.elements || [] : [];
    const choices = { onto: names, mirror: names, cast: SIDES, only: elements, leave_out: elements, reads_one_way: elements, ignored_landmarks: Object.keys(entry.landmarks || {}) };
    if (entry.drawing && made?.path !== entry.drawing) learn(entry.drawing);
    return h("div", { class: "entry-panel" },
    way !== "mirror" && h("div", { class: "chips", role: "group", aria_label: "How it goes on" }, WAYS.map(([each, words]) =>
      h("button", { type: "button", data_key: `way-${each}`, aria_pressed: String(way === each), onclick: () => way !== each && go_(entry, each) }, words))),
    entry.drawing && DRAWING.test(entry.drawing) && h("div", { class: "bar-of-tools" }, h("button", { type: "button", data_key: "correct", onclick: () => correct(entry) }, icon("pen"), "Correct the drawing")),
    (way === "on" || way === "wrap") && facePicker(entry, way),
    way !== "mirror" && way !== "cast" && landmarksPart(entry),
    form(part("ArtTable"), entry, pointer, { only: only.filter((word) => !["only", "leave_out", "reads_one_way"].includes(word) || elements.length || entry[word]), labels: LABELS, help: HELP, choices, of: titleOf(entry), key: "art" }).el);
  }
  async function learn(path) {
    made = { path, told: null };
    const told = await drawingOf(path);
    if (gone || made.path !== path) return;
    made = { path, told };
    drawSide();
    for (const note of told?.notes.slice(0, 1) || []) if (/text|image/i.test(note)) notice("plain", `${path}: ${note}`);
  }
  const correct = (entry) => {
    const borders = state.files?.find((each) => each.path === entry.drawing)?.kind === "borders";
    const plain = typeof entry.on === "string" && ![...PLACED, "landmarks"].some((word) => word in entry);
    go(state.name, "trace", plain ? entry.on : "-", borders ? entry.drawing : linesOf(entry.drawing));
  };
  function go_(entry, way) {
    const first = facesOf(entry)[0] || now;
    const value = way === "on" ? first : way === "wrap" ? [first] : "front";
    return edit(`${titleOf(entry)}: ${way === "on" ? `put on ${first}` : way === "wrap" ? `wrapped, from ${first} on` : "cast from the front"}`, wayOps(entry, picked, way, value));
  }
  /* Faces in the order in which they are clicked: a wrap goes from one to the next. */
  function facePicker(entry, way) {
    const chosen = listOf(entry[way]), plain = chosen.map((each) => each.split(" off ")[0]);
    const change = (name) => {
      const at = plain.indexOf(name), next = at >= 0 ? chosen.filter((_each, step) => step !== at) : [...chosen, name];
      if (!next.length) return notice("plain", "It goes on one face at least; take it off to remove it.");
      return edit(`${at >= 0 ? "Take" : "Put"} ${titleOf(entry)} ${at >= 0 ? "off" : way === "wrap" ? "on round" : "on"} ${name}`, set(picked, { [way]: way === "on" && next.length === 1 ? next[0] : next }));
    };
    return h("div", { class: "field" }, h("span", { class: "label" }, way === "wrap" ? "Faces, in the order of walking round" : "Faces"),
      h("div", { class: "chips", role: "group", aria_label: "Faces it goes on" }, faces().map(({ name }) => h("button", { type: "button", data_key: `goes-${name}`, aria_pressed: String(plain.includes(name)), onclick: () => change(name) },
        way === "wrap" && plain.includes(name) && h("span", { class: "count" }, plain.indexOf(name) + 1), name))));
  }
  function landmarksPart(entry) {
    const rows = Object.entries(entry.landmarks || {});
    const field = (name, which, value) => h("input", { type: "text", value: value ?? "", aria_label: `${name}, ${which ? "up" : "right"}`, data_key: `mark-${name}-${which}`, onchange: (event) => {
      const next = entry.landmarks[name].map((old, at) => (at === which ? reading(event.target.value) : old));
      edit(`Set the landmark ${name} of ${titleOf(entry)}`, [{ op: "add", path: pointerTo("art", picked, "landmarks", name), value: next }]);
    } });
    return h("details", { open: rows.length > 0 || landmark !== null }, h("summary", {}, rows.length ? `Landmarks (${rows.length})` : "By landmarks"),
      h("p", { class: "hint" }, "Match named parts of the drawing to places on the face: two at least. They say where it lies, how it is turned and how large."),
      h("ul", { class: "rows" }, rows.map(([name, value]) => h("li", { class: "row" }, h("span", { class: "name" }, name),
        h("span", { class: "value with-unit" }, field(name, 0, value[0]), field(name, 1, value[1])),
        tool("trash", `Take the landmark ${name} out`, `mark-out-${name}`, () => edit(`Take the landmark ${name} out`, rows.length === 1
          ? [{ op: "remove", path: pointerTo("art", picked, "landmarks") }] : [{ op: "remove", path: pointerTo("art", picked, "landmarks", name) }]))))),
      made?.path === entry.drawing && made.told && Object.keys(made.told.landmarks).length ? h("div", {}, landmark && picture(), h("div", { class: "bar-of-tools" },
        h("button", { type: "button", data_key: "landmark", aria_pressed: String(landmark !== null), onclick: () => match(landmark ? null : { name: null }) }, icon("star"), "Match a landmark"),
        h("select", { aria_label: "Part of the drawing", data_key: "landmark-name", onchange: (event) => event.target.value && match({ name: event.target.value }) }, h("option", { value: "" }, "choose a part …"),
          Object.keys(made.told.landmarks).map((each) => h("option", { value: each, selected: landmark?.name === each }, each)))))
        : h("p", { class: "hint" }, "No part of this drawing has a name (an id)."));
  }
  /* The drawing itself, to click a part of. */
  function picture() {
    const svg = shapesOf(made.told, "The drawing: click a part");
    svg.classList.add("pick-part");
    svg.addEventListener("click", (event) => {
      const name = event.target.closest("[data-element]")?.dataset.element.replace(/^#/, "");
      if (name && name in made.told.landmarks) match({ name });
    });
    for (const [name, [x, y]] of Object.entries(made.told.landmarks)) {
      svg.append(h("circle", { class: `mark${landmark?.name === name ? " picked" : ""}`, cx: x, cy: y, r: made.told.width / 60, data_element: `#${name}` }, h("title", {}, name)));
    }
    return svg;
  }
  function match(next) {
    landmark = next;
    board.point(Boolean(next?.name));
    drawTools();
    drawSide();
  }
  function pointed(at) {
    const entry = art()[picked], { name } = landmark || {};
    if (!entry || !name) return;
    const place = at.map((mm) => Math.round(mm / tape().graduation_mm) * tape().graduation_mm);
    match({ name: null });
    board.point(false);
    edit(`Match ${name} of ${titleOf(entry)} to ${wayWords(place, tape())}`, landmarkOps(entry, picked, name, place, tape()));
  }

  /* ---- more of them */
  function addPanel() {
    const drawings = (state.files || []).filter((each) => DRAWING.test(each.path)), names = faces().map((each) => each.name);
    return h("section", { class: "panel" }, h("h2", {}, "Add"), h("div", { class: "bar-of-tools" },
      h("button", { type: "button", data_key: "add-file", onclick: () => chooser.click() }, icon("drop"), "A file"),
      h("button", { type: "button", data_key: "add-trace", onclick: () => go(state.name, "trace", now || "-") }, icon("pen"), "Trace by hand")),
    h("div", { class: "fields" },
      drawings.length > 0 && h("div", { class: "field" }, h("label", { for: "add-drawing" }, "A drawing of the folder"), h("select", { id: "add-drawing", onchange: (event) => event.target.value && addDrawing(event.target.value) },
        h("option", { value: "" }, "choose …"), drawings.map((each) => h("option", { value: each.path }, each.path)))),
      names.length > 1 && h("div", { class: "field" }, h("label", { for: "add-mirror" }, `A mirror image on ${now}`), h("select", { id: "add-mirror", onchange: (event) => event.target.value && addMirror(event.target.value) },
        h("option", { value: "" }, "of …"), names.filter((each) => each !== now).map((each) => h("option", { value: each }, each))))));
  }
  async function addDrawing(path, at = null) {
    const index = art().length, value = at ? { drawing: path, on: now, anchor: "centre", offset: at.map((mm) => word(mm, tape())) }
      : { drawing: path, on: now, anchor: "centre", to: "centre" };
    if (await edit(`Put ${path} on ${now}`, (table) => added(table, value))) pick(index, true);
  }
  const addMirror = (from) => edit(`Put the mirror image of ${from} on ${now}`, (table) => added(table, { mirror: from, onto: [now] }));
  async function take(files, at = null) {
    for (const file of files) {
      if (!DRAWING.test(file.name) && !PHOTO.test(file.name)) {
        notice("bad", `${file.name}: a drawing is .svg or .dxf; a photo is .jpg, .png, .tif or .heic.`);
        continue;
      }
      const path = freeName(file.name, state.files);
      if (!await putFile(path, file, "new", `Add the file ${path}`)) continue;
      if (DRAWING.test(path)) await addDrawing(path, at);
      else await addPhoto(path, now);
    }
  }
  flat.addEventListener("dragover", (event) => event.preventDefault());
  flat.addEventListener("drop", (event) => {
    event.preventDefault();
    if (now && event.dataTransfer.files.length) take([...event.dataTransfer.files], board.mm(event).map((mm) => Math.round(mm / tape().graduation_mm) * tape().graduation_mm));
  });

  /* ---- what is done */
  function turnFace(name) {
    now = name;
    const here = facesOf(art()[picked] || {});
    if (picked !== null && here.length && !here.includes(name)) picked = null;
    draw();
  }
  function pick(index, goThere = false) {
    if (picked !== index) match(null);
    picked = index;
    const here = facesOf(art()[index] || {});
    if (goThere && here.length && !here.includes(now)) now = here[0];
    draw();
  }
  const shift = (index, by) => {
    picked = picked === index ? index + by : picked === index + by ? index : picked;
    return edit(`${titleOf(art()[index])} ${by > 0 ? "over the next one" : "under the one before"}`, moved(index, by));
  };
  async function put(index, { by, offset, turn, scale }) {
    const name = titleOf(art()[index]);
    if (by) return edit(`Move ${name} to ${wayWords(offset, tape())}`, set(index, { offset: offset.map((mm) => word(mm, tape())) }));
    if (turn !== undefined) return edit(`Turn ${name} to ${turn}°`, set(index, { turn }));
    return edit(`Scale ${name} to ${scale} times`, set(index, { scale }));
  }

  schemas().then(() => {
    if (gone) return;
    ready = true;
    draw();
    document.body.dataset.art = "";
  });
  return {
    update(changed) {
      if (!ready) return;
      if (changed.has("definition") && picked !== null && picked >= art().length) picked = null;
      if (!now) now = faces()[0]?.name || null;
      space?.update(changed);
      const key = JSON.stringify([state.definition.version, state.survey?.version, state.survey?.state, state.run, state.files?.map((each) => each.version)]);
      if (key === drawn) return;
      drawn = key;
      draw();
    },
    leave() {
      gone = true;
      space?.leave();
      delete document.body.dataset.art;
    },
  };
} };
