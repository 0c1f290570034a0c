/* The cabinet in space: turned by dragging, keys or buttons, painted with its faces' pieces.

   spaceView(stage, options) -> { update(changed), choose({face, edge}), marks(list), repaint(), look,
                                 faces(), leave() }
     label              what the picture shows, for ears
     fill(piece, face)  a piece's colour, null for none; without it its paint
     onface(face, [x, y], piece)   a click on a face, place in its frame, mm
     onedge(edge, face)            a click near an edge: {name, way, from, to, ...} of that face
     more               what else lies over the stage
     onmark(mark)                  a click on one of the marks: {face, at, level, id}
   Skins are painted again only where a face's key is new. Drawn by the job book's painter, or as flat
   projections (still.js) where there is no WebGL.                                                   */
import { fill as put, h } from "./dom.js";
import { icon } from "./icons.js";
import { apart, placesOf } from "./watching/places.js";
import { paintSkin, pieceAt, skinFor } from "./watching/skins.js";
import { stillPainter } from "./watching/still.js";
import { at as address, face as faceData, state } from "./store.js";
import { get, Refusal } from "./wire.js";

// A script of the job book's, no module: it sets window.cabinetPainter. Only the cabinet waits for it.
const arrived = new Promise((done) => document.head.append(
  h("script", { src: "/page/painter.js", onload: done, onerror: done })));
const NEAR = 14; // px: how near to an edge a click is one on it
const STILL = 6; // px: what a finger moves without meaning to
const KEYS = { ArrowLeft: { turn: -10 }, ArrowRight: { turn: 10 }, ArrowUp: { tilt: 10 }, ArrowDown: { tilt: -10 },
  "+": { zoom: 1.2 }, "=": { zoom: 1.2 }, "-": { zoom: 1 / 1.2 } };
const VIEWS = [["Front", 0, 8], ["Left", -90, 8], ["Right", 90, 8], ["Back", 180, 8], ["Top", 0, 88]];
const TOOLS = [["left", "ArrowLeft", "Turn left"], ["right", "ArrowRight", "Turn right"], ["up", "ArrowUp", "Tilt up"],
  ["down", "ArrowDown", "Tilt down"], ["plus", "+", "Zoom in"], ["minus", "-", "Zoom out"]];

export function spaceView(host, options) {
  const { label, fill = (piece) => piece.paint, onface, onedge, onmark } = options;
  const hint = `${label} Drag it or use the arrow keys to turn it, plus and minus to zoom, 0 to start again.`;
  const canvas = h("canvas", { class: "space", tabindex: "0", role: "application", aria_label: hint });
  const still = h("svg", { class: "space", tabindex: "0", role: "application", aria_label: hint, hidden: true });
  const over = h("svg", { class: "space-over", aria_hidden: "true" });
  const word = h("p", { class: "space-word", aria_hidden: "true" });
  const waiting = h("p", { class: "empty space-empty" }, "The cabinet is being joined.");
  const box = h("div", { class: "space-ground" }, canvas, still, over);
  const keys = h("div", { class: "under space-keys" }, word,
    h("div", { class: "chips", role: "group", aria_label: "Look from" }, VIEWS.map(([name, azimuth, elevation]) =>
      h("button", { type: "button", onclick: () => look({ to: { azimuth, elevation } }) }, name))),
    h("div", { class: "chips", role: "group", aria_label: "Turn and zoom" }, TOOLS.map(([sign, key, words]) => h("button", {
      type: "button", class: "tool", aria_label: words, title: words, onclick: () => pressed(key) }, icon(sign)))));
  host.append(box, waiting, keys, ...(options.more || []));

  let painter = null, places = null, scene = "", skins = {}, told = {}, chosen = {}, marked = [], asked = 0, frame = 0;
  let gone = false;
  const flat = { on: false };

  // ---- what is shown

  async function load() {
    const turn = (asked += 1), names = (state.survey?.faces || []).map((each) => each.name);
    if (!names.length) return empty(state.survey?.state === "refused"
      ? "The cabinet shows here as soon as its definition can be used." : "The cabinet is being joined.");
    let got, all;
    try {
      [got, all] = await Promise.all([get(address("space")), Promise.all(names.map(faceData)), arrived]);
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      return empty(fault.message);
    }
    if (turn !== asked || gone) return; // a newer one is on its way
    waiting.hidden = true;
    keys.hidden = false;
    told = Object.fromEntries(all.map((each) => [each.name, each]));
    const before = skins, changed = new Set();
    skins = Object.fromEntries(all.map((each) => {
      const kept = before[each.name];
      if (kept && kept.key === each.key) return [each.name, kept];
      const made = skinFor(each);
      if (kept && kept.canvas.width === made.canvas.width && kept.canvas.height === made.canvas.height) {
        Object.assign(kept, { ...made, canvas: kept.canvas }); // the painter knows the old one
        changed.add(kept);
        return [each.name, kept];
      }
      changed.add(made);
      return [each.name, made];
    }));
    for (const skin of changed) paintSkin(skin, fill);
    const text = JSON.stringify(got.facets ? got : {});
    const same = text === scene && painter && Object.values(skins).every((skin) => Object.values(before).includes(skin));
    scene = text;
    if (same) painter.reskin(changed);
    else begin(got);
    host.dataset.skins = String(Number(host.dataset.skins || 0) + changed.size); // how many were painted
    host.dataset.ready = state.survey?.version || "";
    lay();
  }
  keys.hidden = true;
  function empty(words) {
    waiting.hidden = false;
    waiting.textContent = words;
  }
  function begin(got) {
    const view = painter?.view();
    painter?.done();
    places = placesOf(got);
    painter = flat.on ? null : window.cabinetPainter?.(canvas, got, skins);
    if (!painter) {
      flat.on = true;
      canvas.hidden = true;
      still.removeAttribute("hidden");
      painter = stillPainter(still, got, Object.fromEntries(Object.keys(skins).map((name) => [name,
        { get data() { return told[name]; }, fill: (piece) => fill(piece, name) }])));
    }
    if (view) painter.look({ to: view });
  }
  canvas.addEventListener("webglcontextlost", () => {
    flat.on = true;
    begin(JSON.parse(scene));
  });
  new ResizeObserver(() => {
    painter?.redraw();
    soon();
  }).observe(box);

  // ---- what lies over it: the chosen face, the chosen edge, marks

  const soon = () => {
    cancelAnimationFrame(frame);
    frame = requestAnimationFrame(lay);
  };
  const spotOf = (name, at) => {
    const place = places?.raised(name, at);
    return place && painter.seen([place])[0];
  };
  const looks = (name) => {
    const out = places?.outward(name), toward = painter.facing();
    return Boolean(out) && out[0] * toward[0] + out[1] * toward[1] + out[2] * toward[2] > 0.02;
  };
  const ringOf = (rim) => `M${painter.seen(rim).map((spot) => spot.map((v) => v.toFixed(1)).join(" ")).join("L")}Z`;
  function lay() {
    if (!painter || !places) return;
    const { face, edge } = chosen;
    over.setAttribute("viewBox", `0 0 ${box.clientWidth} ${box.clientHeight}`);
    put(over,
      face && looks(face) && places.rims(face).map((rim) => h("path", { d: ringOf(rim), class: "chosen-face" })),
      edge && line(edge.face, edge, "chosen-edge"),
      marked.filter((mark) => mark.at && looks(mark.face)).map((mark) => {
        const spot = spotOf(mark.face, mark.at);
        return spot && h("circle", { cx: spot[0], cy: spot[1], r: mark.chosen ? 11 : 6, class: `mark ${mark.level}` });
      }));
  }
  function line(name, edge, kind) {
    const ends = [edge.from, edge.to].map((at) => spotOf(name, at));
    return ends.every(Boolean) && h("path", { d: `M${ends[0].join(" ")}L${ends[1].join(" ")}`, class: kind });
  }
  /* The edge near a point: of the face that is there, or of any that is seen. */
  function edgeAt(x, y, name) {
    let best = null;
    for (const each of name ? [name] : Object.keys(told)) {
      if (!looks(each)) continue;
      for (const edge of told[each].edges) {
        const [a, b] = [edge.from, edge.to].map((at) => spotOf(each, at));
        if (!a || !b) continue;
        const far = apart([x, y], a, b);
        if (far <= NEAR && (!best || far < best.far)) best = { far, face: each, edge };
      }
    }
    return best;
  }

  // ---- fingers and keys

  function look(change) {
    if (!painter) return;
    painter.look(change);
    soon();
  }
  function pressed(key) {
    if (KEYS[key]) look(KEYS[key]);
    else if (key === "0") { painter?.start(); soon(); }
    return Boolean(KEYS[key]) || key === "0";
  }
  for (const el of [canvas, still]) listen(el);
  function listen(el) {
    const fingers = new Map();
    let moved = 0;
    el.addEventListener("keydown", (event) => {
      if (!event.ctrlKey && !event.metaKey && !event.altKey && pressed(event.key)) event.preventDefault();
    });
    el.addEventListener("pointerdown", (event) => {
      el.setPointerCapture(event.pointerId);
      fingers.set(event.pointerId, [event.clientX, event.clientY]);
      if (fingers.size === 1) moved = 0;
    });
    el.addEventListener("pointermove", (event) => {
      const before = fingers.get(event.pointerId), here = [event.clientX, event.clientY];
      if (!before) return said(event);
      const others = [...fingers.entries()].filter(([id]) => id !== event.pointerId);
      const [dx, dy] = [here[0] - before[0], here[1] - before[1]];
      moved += Math.hypot(dx, dy);
      fingers.set(event.pointerId, here);
      if (moved < STILL) return;
      if (others.length) {
        const wide = (place) => Math.hypot(place[0] - others[0][1][0], place[1] - others[0][1][1]);
        look({ zoom: wide(here) / Math.max(wide(before), 1) });
      } else look({ turn: -0.4 * dx, tilt: 0.4 * dy });
    });
    el.addEventListener("pointerup", (event) => {
      fingers.delete(event.pointerId);
      if (moved < STILL) clicked(event);
    });
    el.addEventListener("pointercancel", (event) => fingers.delete(event.pointerId));
    el.addEventListener("wheel", (event) => {
      if (document.activeElement !== el) return; // the page scrolls on
      event.preventDefault();
      look({ zoom: Math.exp(-event.deltaY / 500) });
    }, { passive: false });
  }
  const spot = (event) => {
    const own = box.getBoundingClientRect();
    return [event.clientX - own.left - box.clientLeft, event.clientY - own.top - box.clientTop];
  };
  function said(event) {
    if (!painter) return;
    const [x, y] = spot(event), hit = painter.picked(x, y), edge = onedge && edgeAt(x, y, hit?.face);
    const piece = hit && !edge && skins[hit.face] && pieceAt(skins[hit.face], [hit.x, hit.y]);
    word.textContent = edge ? `${edge.face}, ${edge.edge.name}` : piece ? piece.id : hit ? hit.face : "";
  }
  function clicked(event) {
    if (!painter) return;
    const [x, y] = spot(event), hit = painter.picked(x, y);
    const mark = onmark && marked.find((each) => each.at && looks(each.face)
      && Math.hypot(...spotOf(each.face, each.at).map((value, axis) => value - [x, y][axis])) < NEAR);
    if (mark) return onmark(mark);
    const edge = onedge && edgeAt(x, y, hit?.face);
    if (edge) return onedge(edge.edge, edge.face);
    if (hit && onface) onface(hit.face, [hit.x, hit.y], pieceAt(skins[hit.face], [hit.x, hit.y]));
  }

  load();
  return {
    update(changed) { if (changed.has("survey")) load(); },
    /* Nothing chosen: {}. `edge` has its `face` and its ends `from`, `to` in that face's frame. */
    choose(what) { chosen = what; soon(); },
    marks(list) { marked = list; soon(); },
    /* Colours are others now: of these faces, or of all. */
    repaint(names = Object.keys(skins)) {
      const all = names.map((name) => skins[name]).filter(Boolean);
      for (const skin of all) paintSkin(skin, fill);
      painter?.reskin(new Set(all));
      soon();
    },
    /* Turn so that a face is seen square on, or nearly. */
    toward(name) {
      const out = places?.outward(name);
      if (!out) return;
      const elevation = (Math.asin(Math.max(-1, Math.min(1, out[2]))) * 180) / Math.PI;
      const level = Math.hypot(out[0], out[1]) < 1e-6;
      look({ to: { azimuth: level ? 0 : (Math.atan2(out[0], -out[1]) * 180) / Math.PI + 12,
        elevation: Math.max(-85, Math.min(85, elevation + (elevation < 60 ? 10 : 0))) } });
    },
    look,
    faces: () => told,
    leave() {
      gone = true;
      cancelAnimationFrame(frame);
      painter?.done();
      canvas.getContext("webgl2")?.getExtension("WEBGL_lose_context")?.loseContext();
    },
  };
}
