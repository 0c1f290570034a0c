/* One face as a drawing: its pieces, hardware, joins and tacks, with ids as there is room for them.

   faceBoard({ label, onpiece }) -> { ...drawing(), show(data), fill(f), pick(id), layers(names), under, marks }
     show(data)     GET C/faces/FACE; nothing is made anew where its key is the same
     fill(f)        f(piece) gives a colour; null leaves what it is
     pick(piece)    this one is chosen (its id; null: none)
     layers(set)    which of "ids", "tacks", "joins" are shown
     marks          a group over all, y up like the drawing's own `over`
   A face may have thousands of pieces: each is one path, one listener hears them all, and ids are
   made for what is in sight only.                                                                  */
import { drawing } from "../drawing.js";
import { h } from "../dom.js";
import { inkOn } from "./skins.js";

const SMALLEST = 11; // px: an id that is smaller is left out until one comes nearer
const LARGEST = 20; // px
const MOST = 350; // ids at a time

export function faceBoard({ label, onpiece }) {
  const board = drawing({ label });
  const ground = h("path", { class: "ground" }), pieces = h("g", { class: "pieces" });
  const chosen = h("path", { class: "piece-chosen" }), fine = h("path", { class: "tacks" });
  const joins = h("path", { class: "join" }), scores = h("path", { class: "score" });
  const holes = h("g", { class: "holes" }), ids = h("g", { class: "ids" }), rim = h("path", { class: "rim" });
  const sheet = h("g", {}, ground, pieces, holes, rim, scores, joins, fine, chosen, ids);
  board.below.append(sheet);
  const shown = new Set(["ids", "joins"]);
  let data = null, paths = [], fills = (piece) => piece.paint, picked = null;

  function show(next) {
    if (data && next.key === data.key && next.name === data.name) return;
    const same = data?.name === next.name;
    data = next;
    sheet.setAttribute("transform", `translate(0 ${-data.height})`);
    ground.setAttribute("d", data.outline);
    ground.style.fill = data.base;
    rim.setAttribute("d", data.outline);
    paths = data.pieces.map((piece, at) => h("path", { d: piece.d, fill: fills(piece) || "none", data_at: at }));
    pieces.replaceChildren(...paths);
    holes.replaceChildren(...data.holes.map((hole) => h("path", { d: hole.stays ? hole.clear : hole.d,
      class: `hole${hole.stays ? " stays" : ""}` })));
    fine.setAttribute("d", data.pieces.flatMap((piece) => piece.tacks).join(""));
    joins.setAttribute("d", data.joins.join(""));
    scores.setAttribute("d", data.scores || "");
    board.frame(0, 0, data.width, data.height);
    if (!same) board.whole();
    pick(data.pieces.some((piece) => piece.id === picked) ? picked : null);
    laid();
  }
  function fill(next) {
    fills = next;
    data?.pieces.forEach((piece, at) => paths[at].setAttribute("fill", fills(piece) || "none"));
    laid();
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
    fine.style.display = shown.has("tacks") ? "" : "none";
    joins.style.display = scores.style.display = shown.has("joins") ? "" : "none";
    laid();
  }
  /* Ids of what is in sight, where the widest circle in a piece has room for its own. */
  function laid() {
    if (!data || !shown.has("ids")) return ids.replaceChildren();
    const one = board.px(1), { x, y, width, height } = board.svg.viewBox.baseVal, made = [];
    for (const piece of data.pieces) {
      const [px, py] = [piece.at[0], data.height - piece.at[1]];
      const size = Math.min(LARGEST, (1.7 * piece.room) / one / Math.max(1, 0.58 * piece.short.length));
      if (size < SMALLEST || px < x || px > x + width || py - data.height < y || py - data.height > y + height) continue;
      const paint = fills(piece);
      made.push([size, piece, px, py, paint]);
    }
    made.sort((one, other) => other[0] - one[0]);
    ids.replaceChildren(...made.slice(0, MOST).map(([size, piece, px, py, paint]) => h("text", { x: px, y: py,
      font_size: size * one, style: { fill: paint ? inkOn(paint) : "" } }, piece.short)));
  }
  board.onzoom(laid);
  let down = null;
  pieces.addEventListener("pointerdown", (event) => { down = [event.clientX, event.clientY]; });
  pieces.addEventListener("click", (event) => {
    const at = event.target.dataset.at;
    if (at === undefined || !onpiece || (down && Math.hypot(event.clientX - down[0], event.clientY - down[1]) > 6)) return;
    onpiece(data.pieces[at], board.mm(event));
  });
  layers(shown.size ? [...shown] : []);
  return { ...board, show, fill, pick, layers, holes, pieces, marks: board.over, data: () => data };
}
