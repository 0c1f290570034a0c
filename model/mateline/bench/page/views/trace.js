/* Tracing paper: a face's photo, a scan or a drawing underneath, border lines and colours on top.
   #/cabinet/trace/FACE/FILE; without a file one is chosen first. Each change is written to the file
   at once, and taken back by the bar's undo.                                                    */
import { fill, h } from "../dom.js";
import { drawing } from "../drawing.js";
import { icon } from "../icons.js";
import { said } from "../said.js";
import { notice } from "../shell.js";
import { appended, at, edit, putFile, state, tell } from "../store.js";
import { address, get, getText, getVersioned, Refusal, send } from "../wire.js";
import * as changes from "../tracing/changes.js";
import { chooser, homeOf } from "../tracing/chooser.js";
import { dist } from "../tracing/geometry.js";
import { handles, nodeGrips, seedGrip } from "../tracing/grips.js";
import { templates } from "../tracing/lengths.js";
import { panels } from "../tracing/panels.js";
import { data, edgesOf, isCircle, read, seed, text } from "../tracing/paper.js";
import { snapper, WORDS } from "../tracing/snapping.js";
import { tool as toolOf } from "../tracing/tools.js";

const TOOLS = [["choose", "node", "Choose and move", "v"], ["line", "line", "Straight edge", "l"], ["arc", "arc", "Arc", "a"],
  ["circle", "circle", "Circle", "c"], ["template", "template", "Circle template", "t"], ["fill", "fill", "Fill with a colour", "f"]];
const ANY = { unit: "mm", graduation_mm: 1, system: "metric" };
const CATCH = 11, CATCH_FINGER = 20; // px
const LEAST_PAPER = 10; // mm
const tapeOf = () => state.definition?.tape || ANY;
const version = (path) => state.files?.find((each) => each.path === path)?.version || "new";
/* Where each thing of the page was left, for when one comes back to it. */
const left = { tool: "line", colour: null, template: 0, by: "middle", show: 0.6 };

export default { title: "Trace", icon: "pen", show(host, _, more) {
  const [face, path] = more;
  if (!path) return chooser(host, face || "");
  return paperView(host, face === "-" ? "" : face, path);
} };

/* ---------------------------------------------------------------- the paper */

function paperView(host, face, path) {
  let paper = null, snap = null, chosen = [], current = null, cursor = null, spot = null, shown = null;
  let told = { regions: [], flaws: [], notes: [] }, asked = 0, pending = 0, written = 0, base = "new", gone = false;
  let under = { path: "" }, guides = [], guiding = "", turned = false, free = false, begun = false, writing = Promise.resolve(), finger = false, frameAsked = 0;
  const sheet = drawing({ label: `Tracing paper on ${face || path}`, margin: 0.09, role: "application" });
  const layers = Object.fromEntries(["under", "fills", "rim", "guides", "lines", "marks", "touches", "seeds", "flaws", "nodes", "now"]
    .map((name) => [name, h("g", { class: `layer-${name}` })]));
  const page = h("g", {}, Object.values(layers));
  sheet.below.append(page);
  const tools = h("div", { class: "over bar-of-tools", role: "toolbar", aria_label: "Tools" });
  const status = h("p", { class: "said", id: "trace-status", aria_live: "polite" });
  const side = h("div", { class: "side" });
  const stage = h("div", { class: "stage" }, sheet.svg, tools, h("div", { class: "under" }, status));
  sheet.svg.setAttribute("aria-describedby", "trace-status");
  fill(host, h("div", { class: "split wide trace" }, stage, side));

  const say = (mm) => said(mm, tapeOf());
  const bench = { paper: () => paper, commit, said: say, mark: () => tapeOf().graduation_mm,
    template: () => ({ radius: sizes()[left.template][0] / 2, by: left.by }), colour: () => left.colour, fill: fillAt };
  const desk = { sheet, layers, left, face, path, commit, choose, words, snapFor, say, wordsOf, take, drop: () => drop(), lay, guide, show: showFlaw,
    redraw: () => drawSpots(), placeWords: (p) => placeWords(p), nameOf: (paint) => nameOf(paint), mark: bench.mark, tape: tapeOf,
    colours: () => colours(), sizes: () => sizes(), toolLabel: () => TOOLS.find(([name]) => name === left.tool)[2],
    get paper() { return paper; }, get chosen() { return chosen; }, get told() { return told; }, get under() { return under; }, get guiding() { return guiding; },
    get spot() { return spot; }, set spot(next) { spot = next; },
    set(next) {
      Object.assign(left, next);
      if ("by" in next) current = toolOf(left.tool, bench);
      drawSide();
      drawNow();
    },
    setPoint(next) {
      spot = next;
      pointSet();
    },
    widen(wide) {
      under.wide = wide;
      drawUnder();
    },
    cover(share) {
      left.show = share;
      layers.fills.style.opacity = share;
    } };
  const sizes = () => templates(tapeOf().system);
  const colours = () => Object.entries(state.definition?.table?.palette?.colours || {}).map(([name, each]) => ({ name, paint: each.paint.toLowerCase() }));
  if (!left.sizes) Object.assign(left, { sizes: true, template: tapeOf().system === "inch" ? 14 : 28 });
  left.colour ||= colours().at(-1)?.paint || "#000000";

  /* ---- reading and writing */
  async function load(first = false) {
    const known = version(path);
    const asking = known === "new" ? { ...(face ? { face } : {}), ...(source() ? { path: source() } : {}) } : { path, ...(face ? { face } : {}) };
    if (!Object.keys(asking).length) throw new Refusal(0, { error: { what: "There is no such drawing.", remedy: "" } });
    const before = written, got = await getVersioned(at(`borders?${new URLSearchParams(asking)}`));
    // What was drawn while this was asked for is newer.
    if (gone || pending || before !== written) return;
    base = known === "new" ? "new" : got.version;
    if (paper && text(paper) === got.text) return;
    paper = read(got.text);
    chosen = [];
    changed();
    if (first && known === "new" && asking.path && paper.borders.length) commit(`Take over the borders of ${asking.path}`, paper);
  }
  /* A drawing of this name without "-lines" whose borders a new paper begins with: in its own frame, or
     in that of the face that it lies on as it is. */
  function source() {
    const stem = path.replace(/-lines\.svg$/, "");
    const from = state.files?.find((each) => each.path !== path && each.kind === "drawing" && each.path.replace(/\.[^./]+$/, "") === stem);
    return from && (!face || homeOf(from.path) === face) ? from.path : null;
  }
  async function commit(says, next) {
    paper = next;
    chosen = chosen.filter((key) => changes.find(paper, key));
    changed();
    pending += 1;
    written += 1;
    const got = await (writing = writing.then(() => write(next, says))); // each on what the last one wrote
    pending -= 1;
    if (got) {
      await placed();
      state.definition = await get(at("definition"));
      tell("definition");
    } else if (!gone) await reload();
  }
  async function write(next, says) {
    const got = await putFile(path, text(next), base, says);
    if (got) base = got.version;
    return got;
  }
  const reload = () => load().catch((fault) => {
    if (!(fault instanceof Refusal)) throw fault;
    notice("bad", fault.message);
  });
  /* The first colour puts the drawing on its face; one taken over takes its drawing's place. */
  async function placed() {
    if (!paper.seeds.length || pending || (state.definition.table.art || []).some((each) => each.drawing === path)) return;
    const old = source();
    await edit(old ? `Put ${path} in the place of ${old}` : `Put ${path} on ${face}`, (table) => {
      const now = table.art || [];
      if (old) return now.flatMap((each, at_) => (each.drawing === old ? [{ op: "replace", path: `/art/${at_}/drawing`, value: path }] : []));
      return face ? [appended(table, "art", { drawing: path, on: face })] : [];
    });
  }

  /* ---- what is seen */
  function changed() {
    snap = snapper({ ...paper, borders: [...paper.borders, ...guides] });
    sheet.frame(0, 0, Math.max(paper.width, LEAST_PAPER), Math.max(paper.height, LEAST_PAPER));
    page.setAttribute("transform", `translate(0 ${-paper.height})`);
    cursor ||= [paper.width / 2, paper.height / 2];
    drawLines();
    drawSide();
    askRegions();
  }
  async function askRegions() {
    const turn = (asked += 1);
    try {
      const got = await send(at("regions"), text(paper));
      if (turn !== asked || gone) return;
      told = got;
      drawFills();
      drawSide();
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      if (turn === asked) notice("bad", fault.message);
    }
  }
  function drawFills() {
    layers.fills.replaceChildren(...told.regions.filter((each) => each.colour).map((each) =>
      h("path", { d: each.d, fill: each.colour, fill_rule: "evenodd", stroke: each.colour, stroke_width: 0.6 })));
    layers.fills.style.opacity = under.path ? left.show : 1;
    drawSpots();
  }
  function drawLines() {
    layers.rim.replaceChildren(...(paper.outline ? [h("path", { class: "outline", d: data(paper.outline) })]
      : [h("rect", { class: "outline", width: paper.width, height: paper.height })]));
    layers.guides.replaceChildren(...guides.map((each) => h("path", { class: "ghost", d: data(each) })));
    layers.lines.replaceChildren(...paper.borders.map((each) =>
      h("path", { class: `edge drawn${chosen.includes(each.key) ? " picked" : ""}`, d: data(each) })));
    layers.marks.replaceChildren(...paper.marks.map((each) => h("path", { class: "guess", d: data(each) })));
    drawTouches();
    drawSpots();
  }
  /* What can be caught with the pointer, by the tool. */
  function drawTouches() {
    const choosing = left.tool === "choose";
    layers.touches.replaceChildren(...(choosing ? paper.borders : []).map((each) => h("path", { class: "touch", d: data(each),
      tabindex: "0", role: "button", aria_label: wordsOf(each), aria_pressed: String(chosen.includes(each.key)), data_key: `border-${each.key}`,
      onpointerdown: (event) => event.stopPropagation(), onclick: (event) => choose(each.key, event.shiftKey || event.ctrlKey),
      onkeydown: (event) => { if (event.key === "Enter" || event.key === " ") { event.preventDefault(); event.stopPropagation(); choose(each.key, event.shiftKey); } } })),
    ...(choosing ? guides : []).map((each) => h("path", { class: "touch", d: data(each), onpointerdown: (event) => event.stopPropagation(),
      onclick: () => commit("Take a line over", changes.drawn(paper, { ...each, name: null })) })));
  }
  function wordsOf(border) {
    if (isCircle(border)) return `Circle ${say(2 * border.radius)} across`;
    const es = edgesOf(border), arcs = es.filter((e) => e.centre).length;
    const size = say(es.reduce((sum, e) => sum + (e.centre ? e.r * Math.abs(e.turn) : dist(e.a, e.b)), 0));
    if (es.length > 1) return `Border of ${es.length} parts, ${size} long`;
    return arcs ? `Arc of ${say(es[0].r)} radius, ${size} long` : `Line ${size} long`;
  }
  /* Seeds, nodes and flaws: as large on the screen at any zoom. */
  function drawSpots() {
    if (!paper) return;
    const px = sheet.px(1), choosing = left.tool === "choose";
    layers.seeds.replaceChildren(...paper.seeds.map((each) => seedGrip(desk, each, px)));
    layers.flaws.replaceChildren(...told.flaws.map((each) => h("circle", { class: `flaw ${each.kind}`, cx: each.at[0], cy: each.at[1], r: (each.kind === "no-seed" ? 6 : 13) * px })));
    layers.nodes.replaceChildren(...(choosing ? nodeGrips(desk, px) : []),
      ...(choosing ? chosen.flatMap((key) => handles(desk, changes.find(paper, key), px)) : []));
    drawNow();
  }
  /* Snapping without what is being moved; made once for a drag, not for each of its frames. */
  let still = null;
  function snapFor(p, event, keys) {
    if (still?.paper !== paper || still.keys !== String(keys)) {
      const borders = [...paper.borders.filter((each) => !keys.includes(each.key)), ...guides];
      still = { paper, keys: String(keys), snap: snapper({ ...paper, borders }) };
    }
    return still.snap.at(p, { reach: sheet.px(event?.pointerType === "touch" ? CATCH_FINGER : CATCH), tape: tapeOf(), free: event?.altKey, height: paper.height });
  }

  /* The pointer and what would be drawn. */
  function drawNow() {
    if (!paper) return;
    const px = sheet.px(1), tool = current;
    if (!cursor || left.tool === "choose") {
      layers.now.replaceChildren();
      return words();
    }
    spot = snap.at(cursor, { reach: sheet.px(finger ? CATCH_FINGER : CATCH), from: tool?.from, last: tool?.last, turned, free, tape: tapeOf(), height: paper.height });
    const ghost = tool?.ghost(spot) || "";
    const [x, y] = spot.at, r = 9 * px;
    layers.now.replaceChildren(...(ghost ? [h("path", { class: "dash", d: ghost })] : []),
      h("path", { class: `cross ${spot.kind}`, d: `M${x - 2 * r} ${y}H${x + 2 * r}M${x} ${y - 2 * r}V${y + 2 * r}` }),
      ...(["mark", "free", "turn"].includes(spot.kind) ? [] : [h("circle", { class: "caught", cx: x, cy: y, r })]));
    words();
  }
  const placeWords = ([x, y]) => `${say(x)} right, ${say(paper.height - y)} up`;
  function words() {
    const what = left.tool === "choose" ? (chosen.length ? "" : "Choose a line, or move a corner.") : current?.says() || "";
    const where = spot && left.tool !== "choose" ? `${placeWords(spot.at)}${WORDS[spot.kind] ? `, ${WORDS[spot.kind]}` : ""}.` : "";
    const next = `${what} ${where}`.trim();
    if (status.textContent !== next) status.textContent = next;
    status.hidden = !next;
  }

  /* ---- what is done */
  function choose(key, more) {
    chosen = more ? (chosen.includes(key) ? chosen.filter((each) => each !== key) : [...chosen, key])
      : chosen.length === 1 && chosen[0] === key ? [] : [key];
    drawTouches();
    layers.lines.querySelectorAll(".edge").forEach((el, which) => el.classList.toggle("picked", chosen.includes(paper.borders[which].key)));
    drawSpots();
    drawSide();
    words();
    layers.touches.querySelector(`[data-key="border-${key}"]`)?.focus({ preventScroll: true });
  }
  function take(name) {
    left.tool = name;
    current = name === "choose" ? null : toolOf(name, bench);
    chosen = [];
    drawTools();
    if (paper) {
      drawLines();
      drawSide();
    }
  }
  const nameOf = (paint) => colours().find((each) => each.paint === paint)?.name || paint;
  function fillAt(point) {
    const region = told.regions.find((each) => inside(each.d, point));
    const own = region ? region.seeds.map((which) => paper.seeds[which]).filter(Boolean) : [];
    const [first, ...others] = own;
    if (first && first.colour === left.colour && !others.length) return;
    const cleared = changes.without(paper, others.map((each) => each.key));
    commit(`Fill a region ${nameOf(left.colour)}`, first ? changes.painted(cleared, first.key, left.colour)
      : changes.coloured(cleared, seed(point, left.colour)));
  }
  function inside(d, [x, y]) {
    return new Path2D(d) && probe().isPointInPath(new Path2D(d), x, y, "evenodd");
  }
  let canvas = null;
  const probe = () => (canvas ||= document.createElement("canvas").getContext("2d"));
  function pointSet() {
    if (!current || !spot) return;
    const set = spot;
    current.point(set);
    cursor = set.at;
    drawNow();
  }
  const drop = () => chosen.length && commit(chosen.length > 1 ? `Take ${chosen.length} things off the paper` : "Take a line off the paper", changes.without(paper, chosen));

  /* ---- pointer and keys */
  const toFile = ([x, y]) => [x, paper.height - y];
  const later = () => {
    frameAsked ||= requestAnimationFrame(() => {
      frameAsked = 0;
      drawNow();
    });
  };
  let down = null;
  sheet.svg.addEventListener("pointermove", (event) => {
    if (!paper || !event.isPrimary) return;
    cursor = toFile(sheet.mm(event));
    [turned, free, finger] = [event.shiftKey, event.altKey, event.pointerType === "touch"];
    if (left.tool !== "choose") later();
  });
  sheet.svg.addEventListener("pointerdown", (event) => {
    if (!paper) return;
    down = event.isPrimary && event.button === 0 ? event.pointerId : null; // a second finger pans
    cursor = toFile(sheet.mm(event));
    finger = event.pointerType === "touch";
    sheet.svg.focus({ preventScroll: true });
    if (left.tool !== "choose") return later();
    chosen = [];
    drawLines();
    return drawSide();
  });
  sheet.svg.addEventListener("pointerup", (event) => {
    if (down !== event.pointerId || !paper) return;
    down = null;
    cursor = toFile(sheet.mm(event));
    [turned, free] = [event.shiftKey, event.altKey];
    drawNow();
    pointSet();
  });
  sheet.svg.addEventListener("keydown", (event) => {
    if (!paper || event.ctrlKey || event.metaKey || event.target !== sheet.svg) return;
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (way && left.tool !== "choose") {
      const step = tapeOf().graduation_mm * (event.shiftKey ? 10 : 1);
      const next = event.altKey ? snap.next(cursor, way) : null;
      const on = (v) => Math.round(v / tapeOf().graduation_mm) * tapeOf().graduation_mm;
      cursor = next || (event.altKey ? cursor : [on(cursor[0]) + way[0] * step, paper.height - (on(paper.height - cursor[1]) - way[1] * step)]);
      cursor = cursor.map((v, which) => Math.max(0, Math.min(which ? paper.height : paper.width, v)));
      [turned, free, finger] = [false, false, false];
      keyNow();
    } else if (event.key === "Enter" && left.tool !== "choose") {
      keyNow();
      pointSet();
    } else if (event.key === "Escape") {
      if (!current?.back()) take("choose");
      drawNow();
    } else return;
    event.preventDefault();
    event.stopImmediatePropagation();
  }, true);
  /* By keys the point is where the cross is, or what is within half a mark of it. */
  function keyNow() {
    drawNow();
    const reach = tapeOf().graduation_mm * 0.51;
    spot = snap.at(cursor, { reach, from: current?.from, last: current?.last, tape: tapeOf(), height: paper.height });
    const [x, y] = spot.at, r = 9 * sheet.px(1), ghost = current?.ghost(spot) || "";
    layers.now.replaceChildren(...(ghost ? [h("path", { class: "dash", d: ghost })] : []),
      h("path", { class: "cross", d: `M${x - 2 * r} ${y}H${x + 2 * r}M${x} ${y - 2 * r}V${y + 2 * r}` }),
      ...(["mark", "free"].includes(spot.kind) ? [] : [h("circle", { class: "caught", cx: x, cy: y, r })]));
    words();
  }
  const shortcut = (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !paper || event.target.matches?.("input, select, textarea")) return;
    const wanted = TOOLS.find(([, , , key]) => key === event.key.toLowerCase());
    if (wanted) take(wanted[0]);
    else if ((event.key === "Delete" || event.key === "Backspace") && chosen.length) drop();
    else return;
    event.preventDefault();
  };
  addEventListener("keydown", shortcut);
  sheet.onzoom(drawSpots);

  /* ---- beside the drawing */
  function drawTools() {
    fill(tools, TOOLS.map(([name, sign, label, key]) => h("button", { type: "button", class: "tool", data_key: `tool-${name}`,
      aria_pressed: String(left.tool === name), title: `${label} (${key.toUpperCase()})`, aria_label: label, onclick: () => take(name) }, icon(sign))),
    h("span", { class: "gap" }),
    h("button", { type: "button", class: "tool", aria_label: "Closer", title: "Closer (+)", onclick: () => sheet.closer(1.6) }, icon("plus")),
    h("button", { type: "button", class: "tool", aria_label: "The whole paper", title: "The whole paper (0)", onclick: () => sheet.whole() }, icon("whole")));
  }
  function drawSide() {
    if (!paper) return;
    fill(side, panels(desk));
  }
  function showFlaw(flaw) {
    const key = flaw.border !== null ? paper.borders[flaw.border]?.key : flaw.seed !== null ? paper.seeds[flaw.seed]?.key : null;
    take("choose");
    cursor = flaw.at;
    if (key) {
      chosen = [key];
      drawLines();
      drawSide();
    }
    const ring = h("circle", { class: "fault-ring", cx: flaw.at[0], cy: flaw.at[1], r: 26 * sheet.px(1) });
    layers.now.replaceChildren(ring);
    status.textContent = `${flaw.message} ${placeWords(flaw.at)}.`;
    status.hidden = false;
  }

  /* ---- what lies under the paper */
  async function lay(what) {
    under = { path: "" };
    if (what) {
      const image = new Image();
      image.src = address(at(`picture?path=${encodeURIComponent(what)}&large=`));
      await image.decode().catch(() => notice("bad", `${what} can\u2019t be shown here.`));
      const ratio = image.naturalHeight / image.naturalWidth || 1, squared = face && what === `squared/${face}.png`;
      under = { kind: squared ? "photo" : "scan", path: what, src: image.src, ratio, wide: paper.width };
    }
    drawUnder();
    drawSide();
  }
  /* What the tracer found, or any drawing: its borders are caught, and taken over one by one. */
  async function guide(what) {
    guiding = what;
    guides = [];
    try {
      if (what) guides = read(await getText(at(`borders?${new URLSearchParams({ path: what, ...(face ? { face } : {}) })}`))).borders;
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      notice("bad", fault.message);
    }
    if (!gone) changed();
  }
  function drawUnder() {
    const high = under.path ? under.wide * under.ratio : 0;
    layers.under.replaceChildren(...(under.path ? [h("image", { href: under.src, x: 0, y: paper.height - high, width: under.wide, height: high, preserveAspectRatio: "none" })] : []));
    layers.fills.style.opacity = under.path ? left.show : 1;
  }

  /* A face is there once the cabinet was surveyed. */
  function begin() {
    const { survey } = state;
    if (face && !survey?.faces?.some((each) => each.name === face)) {
      const waits = !survey || survey.state === "working";
      return fill(side, h("p", { class: `empty${waits ? " busy" : ""}` }, waits ? "The cabinet is being joined." : `There is no face ${face}.`));
    }
    begun = true;
    return load(true).then(() => {
      const photo = face && `squared/${face}.png`;
      if (photo && state.files?.some((each) => each.path === photo)) lay(photo);
      else drawUnder();
      shown = true;
      document.body.dataset.traced = path;
    }).catch((fault) => {
      if (!(fault instanceof Refusal)) throw fault;
      fill(side, h("p", { class: "empty" }, fault.message));
    });
  }
  take(left.tool);
  begin();
  return {
    update(what) {
      if (!begun) return void begin();
      if (!paper || !shown) return;
      if (what.has("files") && !pending && version(path) !== base) reload();
      if (what.has("survey") || what.has("files")) drawSide();
    },
    leave() {
      gone = true;
      removeEventListener("keydown", shortcut);
      delete document.body.dataset.traced;
    },
  };
}
