/* One face as a drawing: its pieces, hardware, joins and tacks, with names as there is room for them.

   faceBoard({ label, onpiece }) -> { ...drawing(), canvas, show(data), fill(f), pick(id), layers(names), marks, data() }
     canvas         lies under `svg` in the same stage
     show(data)     GET C/faces/FACE; nothing is made anew where its key is the same
     fill(f)        f(piece) gives a colour; null leaves what it is
     pick(piece)    this one is chosen (its id; null: none)
     layers(set)    which of "ids", "tacks", "joins", "holes" are shown
     marks          a group over all, y up like the drawing's own `over`
   A face may have thousands of pieces, which no browser moves as elements: they are painted on a canvas,
   those in sight, and while one zooms or pans the painted one is moved along and painted again after. */
import { drawing } from "../drawing.js";
import { h } from "../dom.js";
import { inkOn } from "./skins.js";

// Painted by the processor: thousands of small areas are slow on a graphics card, most of all on one that
// is only played by the processor, and whether a place is in an area is asked again and again.
const CPU = { willReadFrequently: true };
const SMALLEST = 11; // px: a name that is smaller is left out until one comes nearer
const LARGEST = 20; // px
const MOST = 400; // names at a time
const REST = 90; // ms without a move until it is painted again
const STILL = 6; // px: what a finger moves without meaning to
const STAYS = "#8d949c", OPEN = "#1b1d20"; // hardware, and holes; as in the job book

export function faceBoard({ label, onpiece }) {
  const board = drawing({ label });
  const canvas = h("canvas", { class: "under-drawing", aria_hidden: "true" });
  const chosen = h("path", { class: "piece-chosen" }), sheet = h("g", {}, chosen);
  board.below.append(sheet);
  const shown = new Set(["ids", "joins", "holes"]);
  let data = null, made = null, fills = (piece) => piece.paint, picked = null, painted = null, resting = 0;

  function show(next) {
    if (data && next.key === data.key && next.name === data.name) return;
    const same = data?.name === next.name;
    data = next;
    made = { outline: new Path2D(data.outline), joins: new Path2D(data.joins.join("")), scores: new Path2D(data.scores || ""),
      tacks: new Path2D(data.pieces.flatMap((piece) => piece.tacks).join("")),
      holes: data.holes.map((hole) => ({ hole, path: new Path2D(hole.stays ? hole.clear : hole.d) })),
      pieces: data.pieces.map((piece) => ({ piece, path: new Path2D(piece.d), box: boxOf(piece.d) })) };
    sheet.setAttribute("transform", `translate(0 ${-data.height})`);
    board.frame(0, 0, data.width, data.height);
    if (!same) board.whole();
    pick(data.pieces.some((piece) => piece.id === picked) ? picked : null);
    paint();
  }
  function fill(next) {
    fills = next;
    if (data) paint();
  }
  function pick(id) {
    picked = id;
    const piece = data?.pieces.find((each) => each.id === id);
    chosen.setAttribute("d", piece ? piece.d : "");
    return piece || null;
  }
  function layers(names) {
    shown.clear();
    names.forEach((name) => shown.add(name));
    if (data) paint();
  }

  // ---- painted

  /* Pixels of the stage to mm of the svg: x = (px - tx) / scale. */
  function mapping() {
    const { x, y, width, height } = board.svg.viewBox.baseVal, wide = board.svg.clientWidth, high = board.svg.clientHeight;
    const scale = Math.min(wide / width, high / height);
    return { scale, wide, high, tx: (wide - width * scale) / 2 - x * scale, ty: (high - height * scale) / 2 - y * scale };
  }
  function paint() {
    clearTimeout(resting);
    const now = mapping();
    if (!now.wide || !now.high || !data) return;
    const sharp = Math.min(window.devicePixelRatio || 1, 2), brush = canvas.getContext("2d", CPU), one = 1 / now.scale;
    if (canvas.width !== Math.round(now.wide * sharp) || canvas.height !== Math.round(now.high * sharp))
      Object.assign(canvas, { width: Math.round(now.wide * sharp), height: Math.round(now.high * sharp) });
    brush.setTransform(1, 0, 0, 1, 0, 0);
    brush.clearRect(0, 0, canvas.width, canvas.height);
    const scale = now.scale * sharp;
    brush.setTransform(scale, 0, 0, scale, now.tx * sharp, now.ty * sharp - data.height * scale);
    const sight = [-now.tx * one, data.height - now.ty * one, (now.wide - now.tx) * one, data.height + (now.high - now.ty) * one];
    const inSight = ({ box }) => box[0] < sight[2] && box[2] > sight[0] && box[1] < sight[3] && box[3] > sight[1];
    const seen = made.pieces.filter(inSight), ink = getComputedStyle(canvas);
    brush.fillStyle = data.base;
    brush.fill(made.outline, "evenodd");
    brush.lineWidth = 0.8 * one;
    brush.strokeStyle = "rgb(0 0 0 / 0.4)";
    for (const { piece, path } of seen) {
      brush.fillStyle = fills(piece) || data.base;
      brush.fill(path, "evenodd");
      brush.stroke(path);
    }
    if (shown.has("holes")) paintHoles(brush, one);
    brush.lineWidth = 2 * one;
    brush.strokeStyle = ink.getPropertyValue("--drawn");
    brush.stroke(made.outline);
    if (shown.has("joins")) paintJoins(brush, one, ink);
    if (shown.has("tacks")) paintTacks(brush, one);
    if (shown.has("ids")) paintNames(brush, one, seen);
    painted = now;
    canvas.style.transform = "";
    canvas.dataset.painted = String(seen.length);
  }
  function paintHoles(brush, one) {
    brush.lineWidth = 1.5 * one;
    brush.strokeStyle = "#fff";
    for (const { hole, path } of made.holes) {
      brush.fillStyle = hole.stays ? STAYS : OPEN;
      brush.fill(path, "evenodd");
      brush.stroke(path);
    }
  }
  function paintJoins(brush, one, ink) {
    brush.lineWidth = 4 * one;
    brush.strokeStyle = ink.getPropertyValue("--tape");
    brush.stroke(made.joins);
    brush.lineWidth = 1.5 * one;
    brush.strokeStyle = "#6b6256";
    brush.setLineDash([4 * one, 4 * one]);
    brush.stroke(made.scores);
    brush.setLineDash([]);
  }
  function paintTacks(brush, one) {
    brush.fillStyle = "rgb(255 255 255 / 0.55)";
    brush.fill(made.tacks);
    brush.lineWidth = one;
    brush.strokeStyle = "#111";
    brush.stroke(made.tacks);
  }
  /* Where the widest circle in a piece has room for its name. */
  function paintNames(brush, one, seen) {
    const fit = [];
    for (const { piece } of seen) {
      const size = Math.min(LARGEST, (1.7 * piece.room) / one / Math.max(1, 0.58 * piece.short.length));
      if (size >= SMALLEST) fit.push([size, piece]);
    }
    fit.sort((first, second) => second[0] - first[0]);
    const family = getComputedStyle(document.querySelector("h1") || document.body).fontFamily;
    brush.textAlign = "center";
    brush.textBaseline = "middle";
    for (const [size, piece] of fit.slice(0, MOST)) {
      brush.font = `600 ${size * one}px ${family}`;
      brush.fillStyle = inkOn(fills(piece) || data.base);
      brush.fillText(piece.short, piece.at[0], data.height - piece.at[1]);
    }
    canvas.dataset.names = String(Math.min(fit.length, MOST));
  }
  /* What was painted is moved along at once, and painted again when nothing moves. */
  function along() {
    if (!painted) return paint();
    const now = mapping();
    if (now.wide !== painted.wide || now.high !== painted.high) return paint();
    const times = now.scale / painted.scale, x = now.tx - times * painted.tx, y = now.ty - times * painted.ty;
    if (Math.abs(times - 1) < 1e-6 && Math.abs(x) < 0.01 && Math.abs(y) < 0.01) return;
    canvas.style.transform = `translate(${x}px, ${y}px) scale(${times})`;
    clearTimeout(resting);
    resting = setTimeout(paint, REST);
  }
  board.onzoom(along);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => data && paint());

  // ---- fingers: one that drags the ground moves the view, one that does not is on a piece

  let from = null;
  board.svg.addEventListener("pointerdown", (event) => {
    from = event.button === 0 && event.isPrimary && !event.target.closest(".grip") ? { x: event.clientX, y: event.clientY, far: 0 } : null;
  });
  board.svg.addEventListener("pointermove", (event) => {
    if (!from || !event.isPrimary || !(event.buttons & 1)) return;
    const [dx, dy] = [event.clientX - from.x, event.clientY - from.y];
    from.far += Math.hypot(dx, dy);
    Object.assign(from, { x: event.clientX, y: event.clientY });
    if (from.far < STILL) return;
    const { x, y, width, height } = board.svg.viewBox.baseVal, one = board.px(1);
    board.reveal([x + width / 2 - dx * one, -(y + height / 2) + dy * one], width);
  });
  board.svg.addEventListener("click", (event) => {
    if (!data || !onpiece || !from || from.far >= STILL || event.target.closest(".grip, .touch-spot")) return;
    const at = board.mm(event), piece = pieceAt(at);
    onpiece(piece, at);
  });
  function pieceAt([x, y]) {
    const brush = canvas.getContext("2d", CPU), down = data.height - y;
    brush.setTransform(1, 0, 0, 1, 0, 0);
    return made.pieces.find(({ box, path }) => x >= box[0] && x <= box[2] && down >= box[1] && down <= box[3]
      && brush.isPointInPath(path, x, down, "evenodd"))?.piece || null;
  }
  return { ...board, canvas, show, fill, pick, layers, marks: board.over, data: () => data };
}

function boxOf(d) {
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  let at = 0;
  for (const [text] of d.matchAll(/-?\d+(?:\.\d+)?/g)) {
    const value = Number(text), axis = at % 2;
    if (value < box[axis]) box[axis] = value;
    if (value > box[axis + 2]) box[axis + 2] = value;
    at += 1;
  }
  return box;
}
