/* What the page knows of the open cabinet, asked anew when the server says that it has changed.
   Views read `state` and are told by `subscribe`; what they change goes through `edit`.

   state.name        the cabinet's folder, null on the first page
   state.definition  GET C/definition        state.outlines  GET C/outlines
   state.survey      GET C/survey            state.files     GET C/files
   state.run         the last word of a build, a squaring or a tracing
   face(name)        GET C/faces/NAME, kept until its key changes                                */
import { get, listen, post, put, Refusal } from "./wire.js";

export const state = { name: null, definition: null, outlines: null, survey: null, files: null,
  run: null, lost: false };
// What lengths are shown in where the definition tells no tape.
const UNKNOWN = { unit: "mm", graduation_mm: 1, system: "metric" };
const hearers = new Set();
const faces = new Map();
let line = null, waiting = Promise.resolve(), opened = Promise.resolve(), turns = 0;
const newest = new Map(); // which asking the answer that is shown came from

export const at = (rest, name = state.name) => `/cabinets/${encodeURIComponent(name)}/${rest}`;

/* `hear(changed)` gets the names of what is new: "definition", "outlines", "survey", "files", "run".
   Returns a function that ends it. */
export function subscribe(hear) {
  hearers.add(hear);
  return () => hearers.delete(hear);
}
export function tell(...changed) {
  if (holders) return changed.forEach((each) => waitingToTell.add(each));
  for (const hear of [...hearers]) hear(new Set(changed));
}
/* While something is dragged, views are told nothing: what they would draw anew is in a hand. What
   has changed meanwhile is told when it is let go. */
let holders = 0;
const waitingToTell = new Set();
export function hold() {
  holders += 1;
}
export function release() {
  holders -= 1;
  if (holders || !waitingToTell.size) return;
  const changed = [...waitingToTell];
  waitingToTell.clear();
  tell(...changed);
}

export async function open(name) {
  line?.stop();
  faces.clear();
  Object.assign(state, { name, definition: null, outlines: null, survey: null, files: null,
    run: null, lost: false });
  if (!name) return;
  line = listen(at("events"), heard, (gone) => {
    state.lost = true;
    tell("lost");
    if (gone) setTimeout(() => state.name === name && open(name), 1000);
  });
  // The server begins with how things stand: that is looked at once we know something ourselves.
  const asked = Promise.all(
    ["definition", "outlines", "survey", "files"].map((each) => get(at(each))));
  opened = asked.catch(() => {});
  const [definition, outlines, survey, files] = await asked;
  if (state.name !== name) return;
  Object.assign(state, { definition, outlines, survey, files });
  state.definition.tape ||= UNKNOWN;
  tell("definition", "outlines", "survey", "files");
}

async function heard(event) {
  if (state.lost) {
    state.lost = false;
    tell("lost");
  }
  const name = state.name;
  await opened;
  if (name !== state.name || !state.definition) return;
  const fresh = async (what) => {
    const turn = (turns += 1), got = await get(at(what, name));
    // An older answer that comes late is let go.
    if (name !== state.name || turn < (newest.get(what) || 0)) return;
    newest.set(what, turn);
    if (what === "definition" && got.version === state.definition?.version) return;
    if (what === "definition") got.tape ||= UNKNOWN;
    state[what] = got;
    tell(what);
  };
  try {
    if (event.kind === "definition" || event.kind === "outside") {
      if (event.version !== state.definition?.version)
        await Promise.all([fresh("definition"), fresh("outlines")]);
      if (event.kind === "outside") {
        state.outside = event.path;
        tell("outside");
      }
    } else if (event.kind === "survey") {
      if (event.count !== state.survey?.count) await fresh("survey");
    }
    else if (event.kind === "files") await fresh("files");
    else if (event.kind === "run") {
      state.run = event;
      tell("run");
    } else if (event.kind === "trouble") {
      state.refused = { says: "", what: event.what, remedy: event.remedy };
      tell("refused");
    } else if (event.kind === "goodbye") {
      line?.stop();
      tell("goodbye");
    }
  } catch (fault) {
    if (!(fault instanceof Refusal)) throw fault;
    state.lost = true;
    tell("lost");
  }
}

/* One edit: `patch` is a list of RFC 6902 operations, or a function of the present table that
   gives one. Edits wait for each other, so that each is based on what the last one made. The
   answer is false where somebody else changed the file meanwhile and the edit could not be done
   on what is there now: then "conflict" is told with what was wanted. */
export function edit(says, patch) {
  return after(async () => {
    const made = (table) => (typeof patch === "function" ? patch(table) : patch);
    const operations = made(state.definition.table);
    if (!operations.length) return true;
    return sent("edit", { says, patch: operations });
  }, says);
}
/* The operation that puts one more entry at the end of a list of the definition, such as [[art]]. */
export const appended = (table, list, value) => ({ op: "add",
  path: `/${list}/${table[list]?.length ? "-" : "0"}`, value });
export const undo = () => after(() => sent("undo", {}), "Undo");
export const redo = () => after(() => sent("redo", {}), "Redo");
export const setText = (says, text) => after(() => sent("text", { says, text }), says);
/* A file of the folder, whole. `base` is its version as it was read, or "new"; `says` are the words
   of the edit. */
export const putFile = (path, body, base, says) => after(async () => put(at(
  `file?path=${encodeURIComponent(path)}${base ? `&base=${base}` : ""}${
    says ? `&says=${encodeURIComponent(says)}` : ""}`), body), says || path);

function after(work, says) {
  const done = waiting.then(work);
  waiting = done.catch(() => {});
  return done.catch((fault) => {
    if (!(fault instanceof Refusal)) throw fault;
    if (fault.status === 409 && fault.answer.definition) {
      state.definition = fault.answer.definition;
      state.definition.tape ||= UNKNOWN;
      state.conflict = { says, what: fault.what, remedy: fault.remedy };
      tell("definition", "conflict");
    } else {
      state.refused = { says, what: fault.what, remedy: fault.remedy };
      tell("refused");
    }
    return false;
  });
}

async function sent(what, value) {
  const got = await post(at(what), { base: state.definition.version, ...value });
  const { outlines, ...definition } = got;
  state.definition = definition;
  state.definition.tape ||= UNKNOWN;
  if (outlines) state.outlines = outlines;
  tell("definition", "outlines");
  return true;
}

/* The drawing of one face, asked for only when its key is new; and what lies on it, entry by entry
   of [[art]]: {key, art: [{index, drawing, box, page, shapes: [{paint, element, d}]}]}. */
export const face = (name) => kept(name, `faces/${encodeURIComponent(name)}`);
export const faceArt = (name) => kept(name, `faces/${encodeURIComponent(name)}/art`);

async function kept(name, path) {
  const key = state.survey?.faces?.find((each) => each.name === name)?.key;
  const before = faces.get(path);
  if (before && before.key === key) return before.data;
  const data = await get(at(path));
  faces.set(path, { key: data.key, data });
  return data;
}
