/* Boards: what stands on each side of an outline, how they are joined, and how their edges are shaped: by
   clicking a side, a corner, or an edge of the cabinet in space.                                    */
import { fill, h } from "../dom.js";
import { faultLine, form, part, schemas, textInput } from "../form.js";
import { icon } from "../icons.js";
import { mmOf } from "../said.js";
import { spaceView } from "../space.js";
import { edit, state } from "../store.js";
import { boardOn, boardsOf, edgeKey, endsOf, isInside, jointOf, jointPatch, pairsOf, thickness } from "../watching/joints.js";
import { carcaseOf } from "../watching/remedies.js";
import { section } from "../watching/section.js";

const NAMES = ["front", "back", "top", "bottom", "shelf", "deck", "screen", "marquee", "floor"];
const MORE = ["moulding", "groove", "rabbet", "holes"];

export default { title: "Boards", icon: "boards", show(host, _, [asked] = []) {
  let index = Math.max(0, (state.definition.table?.carcase || []).findIndex((each) => each.name === asked));
  let way = "section", picked = {}, ready = false, gone = false, space = null; // picked: {board} or {pair, corner} or {side}

  const paper = section({ onboard: (name) => choose({ board: name }), onside: (one, other) => choose({ side: [one, other] }),
    oncorner: (name) => choose({ pair: pairsOf(carcase()).find((each) => each.corner === name)?.boards, corner: name }) });
  const top = h("div", { class: "over" }), overSpace = h("div", { class: "over" }), word = h("div", { class: "under" });
  const flat = h("div", { class: "stage" }, paper.svg, top, word), solid = h("div", { class: "stage", hidden: true });
  const side = h("div", { class: "side" }), which = h("section", { class: "panel plain" }), card = h("section", { class: "panel" });
  const whole = h("section", { class: "panel" }), loose = h("div", { role: "status" });
  fill(side, which, loose, card, whole);
  fill(host, h("div", { class: "split watch" }, flat, solid, side));

  const table = () => state.definition.table || {};
  const carcase = () => table().carcase?.[index];
  const pointer = (...more) => `/carcase/${index}${more.map((each) => `/${each}`).join("")}`;
  const tape = () => state.definition.tape;

  // ---- drawn

  function outline() {
    const { outlines } = state.outlines || {}, name = carcase().name;
    return outlines?.[name] || outlines?.[`${name} left`] || outlines?.[`${name} right`] || null;
  }
  function drawSection() {
    const box = carcase(), told = box && outline();
    fill(word);
    if (!told || !tape()) {
      paper.svg.style.visibility = "hidden";
      return fill(word, h("p", {}, "The section shows as soon as the outline closes: measure it first."));
    }
    paper.svg.style.visibility = "";
    const names = box.corners, ring = names.map((name, at) => boardOn(box, name, names[(at + 1) % names.length]));
    const curved = new Set(Object.keys({ ...box.outline?.curves, ...box.left?.curves, ...box.right?.curves }));
    const boards = ring.map((board) => board && { name: board.name, missing: Boolean(board.table.missing || board.table.shared),
      thick: thickness(box, board.name, tape(), table().measures) ?? 0, back: mmOf(board.table.set_back ?? 0, tape(), table().measures) ?? 0,
      curved: curved.has(board.edge) || curved.has(board.edge.split("-").reverse().join("-")) });
    const joints = names.map((name, at) => {
      const before = ring[(at + names.length - 1) % names.length], after = ring[at];
      return before && after ? withWords(box, before.name, after.name, name) : null;
    });
    paper.show({ names, points: told.corners.map(({ x, y }) => [x, y]), path: told.path, boards, joints,
      picked: { board: picked.board, corner: picked.corner, side: picked.side?.join("-") } });
  }
  function withWords(box, a, b, corner) {
    const inside = isInside(box, corner), joint = inside ? { kind: "mitre", first: a, said: -1 } : jointOf(box, a, b);
    return { ...joint, inside, words: joint.kind === "mitre" ? `${a} and ${b} are mitred` : `${joint.first} lies over ${joint.first === a ? b : a}` };
  }
  const ways = () => h("div", { class: "chips", role: "group", aria_label: "What is shown" }, [["section", "Section"], ["space", "Cabinet"]]
    .map(([key, words]) => h("button", { type: "button", data_key: `way-${key}`, aria_pressed: String(way === key), onclick: () => setWay(key) }, words)));
  function setWay(next) {
    way = next;
    flat.hidden = way !== "section";
    solid.hidden = way !== "space";
    if (way === "space" && !space) {
      space = spaceView(solid, { label: "The painted cabinet. Click an edge between two boards to shape it, or a board.", more: [overSpace],
        onface: (face) => fromSpace(face, null), onedge: (edge, face) => fromSpace(face, edge) });
    }
    drawWays();
    light();
  }
  function drawWays() {
    fill(top, ways());
    fill(overSpace, ways());
  }
  /* What was clicked in space: a board, or the edge that it shares with another of its carcase. */
  function fromSpace(face, edge) {
    const own = carcaseOf(face, table()), other = edge && carcaseOf(edge.beyond, table());
    if (!own) return;
    index = own.index;
    if (other && other.index === own.index) {
      const pair = pairsOf(carcase()).find(({ boards }) => boards.includes(own.panel) && boards.includes(other.panel));
      if (pair) return choose({ pair: pair.boards, corner: pair.corner, face, edge });
    }
    choose({ board: own.panel, face });
  }
  /* The chosen board or edge, lit up on the cabinet. */
  function light() {
    if (!space) return;
    const box = carcase(), faces = space.faces(), { pair, board } = picked;
    if (pair) {
      const face = picked.edge ? picked.face : `${box.name}-${pair[0]}`;
      const edge = picked.edge || faces[face]?.edges.find((each) => each.beyond === `${box.name}-${pair[1]}`);
      space.choose(edge ? { edge: { ...edge, face } } : {});
    } else space.choose(board ? { face: `${box.name}-${board}` } : {});
  }

  // ---- lists and fields

  function choose(what) {
    picked = what;
    drawAll();
    card.querySelector("h2")?.scrollIntoView({ block: "nearest" });
  }
  function drawWhich() {
    const all = table().carcase || [], box = carcase();
    fill(which, all.length > 1 && h("div", { class: "chips", role: "group", aria_label: "Carcases" }, all.map((each, at) => h("button", { type: "button",
      data_key: `carcase-${at}`, aria_pressed: String(at === index), onclick: () => { index = at; choose({}); } }, each.name))),
    box && h("div", { class: "chips", role: "group", aria_label: "Boards" }, boardsOf(box).map(({ name, table: own }) => h("button", { type: "button",
      data_key: `board-${name}`, aria_pressed: String(picked.board === name), onclick: () => choose(picked.board === name ? {} : { board: name }) },
    name, (own.missing || own.shared) && h("span", { class: "hint" }, own.shared ? "shared" : "missing")))));
    const wrong = [...state.definition.faults, ...(state.survey?.version === state.definition.version ? state.survey.faults : [])];
    const seen = new Set();
    fill(loose, wrong.filter((each) => !seen.has(each.place + each.what) && seen.add(each.place + each.what))
      .map((each, at) => h("div", { class: "notice bad" }, h("div", {}, h("strong", {}, each.place), faultLine(each, `loose-${at}`)))));
  }
  function drawCard() {
    const box = carcase();
    card.hidden = !box || !ready;
    if (card.hidden) return;
    const found = picked.pair ? pairCard(box, ...picked.pair, picked.corner) : picked.board ? boardCard(box, picked.board)
      : picked.side ? sideCard(box, ...picked.side) : [h("h2", {}, box.name), h("p", { class: "hint" },
        "Click a side, a corner, or an edge of the cabinet. Or choose two boards that meet:"), edgeList(box)];
    fill(card, ...found);
  }
  function edgeList(box, name = null) {
    const pairs = pairsOf(box).filter(({ boards }) => !name || boards.includes(name));
    return h("ul", { class: "rows" }, pairs.map(({ boards: [a, b], corner }) => {
      const joint = withWords(box, a, b, corner), { value } = edgeKey(box, a, b);
      const shape = value?.bevel !== undefined ? `bevel ${value.bevel}` : value?.round !== undefined ? `round ${value.round}` : "";
      const other = name ? (a === name ? b : a) : `${a} and ${b}`;
      return h("li", { class: "row" }, h("button", { type: "button", class: "quiet name", data_key: `pair-${a}-${b}`,
        onclick: () => choose({ pair: [a, b], corner }) }, name ? `with ${other}` : other),
      h("span", { class: "value hint" }, [joint.words.replace(`${a} and ${b} are `, ""), shape, value?.end && `end: ${value.end}`].filter(Boolean).join(", ")));
    }));
  }
  const head = (words) => h("div", { class: "head" }, h("h2", {}, words), h("button", { type: "button", class: "tool", aria_label: "Put away",
    data_key: "card-close", onclick: () => choose({}) }, icon("close")));

  function boardCard(box, name) {
    const own = box.panels?.[name], isEnd = endsOf(box).includes(name), of = `the ${name} of ${box.name}`;
    const fields = isEnd ? ["board", "missing", "shared", "short"] : ["board", "missing", "set_back", "shared", "short"];
    const others = (table().carcase || []).filter((each) => each !== box).flatMap((each) => boardsOf(each).map((board) => `${each.name}-${board.name}`));
    const beside = pairsOf(box).filter(({ boards }) => boards.includes(name)).map(({ boards }) => boards.find((each) => each !== name));
    return [head(`The ${name}`),
      !isEnd && h("p", { class: "hint" }, `On side ${own?.edge}`),
      form(part("BoardTable"), own, pointer("panels", name), { only: fields, of, key: "board-", choices: { shared: others, short: beside },
        labels: { board: "Thickness", missing: "There is no board", shared: "In its place stands" },
        help: { board: own?.board === undefined ? `As all of ${box.name}: ${box.board}` : null } }).el,
      h("h3", {}, "Its edges"), edgeList(box, name),
      !isEnd && h("button", { type: "button", class: "danger", data_key: "board-out", onclick: () => {
        picked = {};
        edit(`Take the board ${name} off ${box.name}`, [{ op: "remove", path: pointer("panels", name) }]);
      } }, icon("trash"), "Take this board away")];
  }
  function sideCard(box, one, other) {
    const taken = Object.keys(box.panels || {}), left = NAMES.filter((each) => !taken.includes(each) && !endsOf(box).includes(each));
    const add = (name) => name && edit(`Put a board ${name} on ${one}-${other} of ${box.name}`,
      [{ op: "add", path: pointer("panels", name), value: { edge: `${one}-${other}` } }]).then((well) => well && choose({ board: name }));
    return [head(`Side ${one}-${other}`), h("p", {}, "No board stands here. What is it called?"),
      h("div", { class: "chips" }, left.map((name) => h("button", { type: "button", data_key: `name-${name}`, onclick: () => add(name) }, name))),
      h("div", { class: "field" }, h("label", { for: "board-name" }, "Another name"), textInput({ id: "board-name", value: "", taken: (text) =>
        add(text.trim().toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^[^a-z]+|-+$/g, "")) }))];
  }
  function pairCard(box, a, b, corner) {
    const joint = withWords(box, a, b, corner), { key, there, value } = edgeKey(box, a, b), path = pointer("edges", key);
    const join = (kind, first, says) => edit(says, (present) => jointPatch(present.carcase[index], index, a, b, kind, first));
    const is = (kind, first) => String(joint.kind === kind && (kind === "mitre" || joint.first === first));
    const shape = value?.bevel !== undefined ? "bevel" : value?.round !== undefined ? "round" : "sharp";
    const start = tape()?.system === "metric" ? { bevel: 12, round: 12 } : { bevel: "1/2", round: "1/2" };
    const reshape = (next) => {
      const gone = ["bevel", "angle", "round"].filter((each) => value?.[each] !== undefined && each !== next);
      const nothing = next === "sharp" && there && Object.keys(value).every((each) => gone.includes(each));
      edit(next === "sharp" ? `Leave the edge of ${a} and ${b} sharp` : `Cut a ${next} at ${a} and ${b}`, nothing ? [{ op: "remove", path }]
        : [...gone.map((each) => ({ op: "remove", path: `${path}/${each}` })),
          ...(next === "sharp" || value?.[next] !== undefined ? [] : [{ op: "add", path: `${path}/${next}`, value: start[next] }])]);
    };
    const of = `${a} and ${b}`;
    return [head(`${a} and ${b}`),
      h("fieldset", {}, h("legend", {}, "Joint"), joint.inside ? h("p", { class: "hint" }, "An inside corner: its boards are mitred.")
        : h("div", { class: "chips", role: "group", aria_label: "Joint" },
          h("button", { type: "button", data_key: "a-over", aria_pressed: is("over", a), onclick: () => join("over", a, `Let the ${a} lie over the ${b}`) }, drawnJoint("over"), `${a} over ${b}`),
          h("button", { type: "button", data_key: "b-over", aria_pressed: is("over", b), onclick: () => join("over", b, `Let the ${b} lie over the ${a}`) }, drawnJoint("under"), `${b} over ${a}`),
          h("button", { type: "button", data_key: "mitre", aria_pressed: is("mitre"), onclick: () => join("mitre", a, `Mitre the ${a} and the ${b}`) }, drawnJoint("mitre"), "mitred"),
          joint.said >= 0 && h("button", { type: "button", class: "quiet", data_key: "as-usual", onclick: () => join(null, a, `Leave the joint of ${a} and ${b} as usual`) }, "as usual"))),
      h("fieldset", {}, h("legend", {}, joint.inside ? "In the corner" : "Edge"), h("div", { class: "chips", role: "group", aria_label: "Edge" },
        [["sharp", "Sharp"], ["bevel", joint.inside ? "Fillet" : "Bevel"], ["round", joint.inside ? "Cove" : "Round"]].map(([each, words]) => h("button", { type: "button",
          data_key: `shape-${each}`, aria_pressed: String(shape === each), onclick: () => shape !== each && reshape(each) }, words))),
      shape !== "sharp" && form(part("EdgeTable"), value, path, { only: shape === "bevel" ? ["bevel", "angle"] : ["round"], of, key: "edge-",
        labels: { bevel: "Width", round: "Radius", angle: "Off the face" } }).el),
      joint.kind === "over" && !joint.inside && h("fieldset", {}, h("legend", {}, `End of the ${joint.first}`),
        form(part("EdgeTable"), value, path, { only: ["end"], of, key: "end-", labels: { end: "Painted" } }).el),
      h("details", { open: MORE.some((each) => value?.[each] !== undefined) }, h("summary", { data_key: "edge-more" }, "Moulding, groove, rabbet, holes"),
        form(part("EdgeTable"), value, path, { only: MORE, of, key: "more-", choices: { moulding: [a, b] },
          fresh: freshEdge(tape()), labels: { holes: "Holes in the end" } }).el)];
  }
  function freshEdge(own) {
    return own?.system === "metric" ? { groove: { width: 2.5, depth: 10 }, rabbet: { width: 18, depth: 6 }, moulding: 30 }
      : { groove: { width: "3/32", depth: "3/8" }, rabbet: { width: "3/4", depth: "1/4" }, moulding: "1" };
  }
  function drawWhole() {
    const box = carcase();
    whole.hidden = !box || !ready;
    if (whole.hidden) return;
    const others = (table().carcase || []).filter((each) => each !== box);
    const below = others.find((each) => each.name === box.stands_on?.carcase), corners = below?.corners || [];
    const sides = corners.map((name, at) => `${name}-${corners[(at + 1) % corners.length]}`);
    const first = others[0], firstSide = first && `${first.corners[0]}-${first.corners[1]}`;
    fill(whole, h("h2", {}, `All of ${box.name}`),
      form(part("CarcaseTable"), box, pointer(), { only: ["width", "board", "ends"], of: box.name, key: "carcase-",
        labels: { width: "Width outside", board: "Boards are" } }).el,
      others.length > 0 && form(part("CarcaseTable"), box, pointer(), { only: box.at ? ["at"] : ["stands_on"], of: box.name, key: "stands-",
        choices: { carcase: others.map((each) => each.name), edge: sides }, fresh: { stands_on: { carcase: first?.name, edge: firstSide } },
        labels: { edge: "On its side", offset: "Along it from the first corner", across: "Moved across", at: "Where it stands" } }).el);
  }
  function drawAll() {
    if (!carcase()) index = 0;
    drawWays();
    drawWhich();
    drawSection();
    drawCard();
    drawWhole();
    light();
  }

  drawAll();
  schemas().then(() => {
    ready = true;
    if (!gone) drawAll();
  });
  return {
    update(changed) {
      const box = carcase();
      if (box && picked.board && !boardsOf(box).some((each) => each.name === picked.board)) picked = {};
      if (changed.has("definition") || changed.has("outlines") || changed.has("survey")) drawAll();
      if (changed.has("survey") && state.survey.state !== "working") space?.update(changed);
    },
    leave() {
      gone = true;
      space?.leave();
    },
  };
} };

/* The three ways two boards meet at a corner, as a picture beside their words. */
function drawnJoint(kind) {
  const lines = { over: ["M4 4h16v5H4z", "M4 9h5v11H4z"], under: ["M9 4h11v5H9z", "M4 4h5v16H4z"], mitre: ["M4 4h16v5H9z", "M4 4l5 5v11H4z"] };
  return h("svg", { class: "icon", viewBox: "0 0 24 24", aria_hidden: "true" }, lines[kind].map((d, at) => h("path", { d, class: kind !== "mitre" && at === (kind === "under" ? 1 : 0) ? "fill" : null })));
}
