/* Entries of [[art]]: which way each goes on the cabinet, in words, and the edits that change it. */
import { said, word } from "../said.js";
import { appended } from "../store.js";

export const WAYS = [["on", "On a face"], ["wrap", "Wrapped round"], ["cast", "Cast"]];
export const SIDES = ["left", "right", "front", "back", "top", "bottom"];
const GOES = ["on", "wrap", "cast", "onto", "mirror"];

export const wayOf = (entry) => (entry.mirror ? "mirror" : entry.cast ? "cast" : entry.wrap ? "wrap" : "on");
export const listOf = (value) => (value === undefined ? [] : Array.isArray(value) ? value : [value]);
const faceIn = (step) => step.split(" off ")[0];
/* The faces that an entry names. */
export const facesOf = (entry) => [...listOf(entry.on), ...listOf(entry.wrap).map(faceIn), ...listOf(entry.onto)];
export const titleOf = (entry) => entry.drawing || (entry.mirror ? `Mirror of ${entry.mirror}` : "No drawing yet");
export function wordsOf(entry) {
  const names = (list) => listOf(list).map(faceIn).join(", ");
  const way = wayOf(entry);
  if (way === "mirror") return `onto ${names(entry.onto) || "the opposite face"}`;
  if (way === "cast") return `cast from the ${entry.cast}${entry.onto?.length ? ` onto ${names(entry.onto)}` : ""}`;
  if (way === "wrap") return `wrapped round ${names(entry.wrap)}`;
  return entry.on ? `on ${names(entry.on)}${entry.landmarks ? ", by landmarks" : ""}` : "on no face yet";
}
/* Whether it is moved by dragging on this face: the first that it goes on. */
export const dragged = (entry, face) => !entry.landmarks && entry.fit !== "corners"
  && ((wayOf(entry) === "on" && listOf(entry.on).includes(face)) || (wayOf(entry) === "wrap" && faceIn(entry.wrap[0]) === face));

/* A place or a way in words: 28 mm left, 3 mm up. */
export const wayWords = ([x, y], tape) => `${said(Math.abs(x), tape)} ${x < 0 ? "left" : "right"}, ${said(Math.abs(y), tape)} ${y < 0 ? "down" : "up"}`;

const out = (entry, pointer, words) => words.filter((word) => entry[word] !== undefined).map((word) => ({ op: "remove", path: `${pointer}/${word}` }));
export const set = (index, values) => Object.entries(values).map(([word, value]) => ({ op: "add", path: `/art/${index}/${word}`, value }));
/* The entry goes another way: what said the old one is taken out. */
export function wayOps(entry, index, way, value) {
  const pointer = `/art/${index}`;
  const idle = way === "cast" ? ["landmarks", "ignored_landmarks", "warp"] : [];
  return [...out(entry, pointer, [...GOES.filter((word) => word !== way), ...idle]), ...set(index, { [way]: value })];
}
export const added = (table, value) => [appended(table, "art", value)];
/* In the file later ones lie on top. */
export const moved = (index, by) => [{ op: "move", from: `/art/${index}`, path: `/art/${index + by}` }];
export const removed = (index) => [{ op: "remove", path: `/art/${index}` }];
/* From where it is placed to places of points: of its landmarks. */
export function landmarkOps(entry, index, name, at, tape) {
  const pointer = `/art/${index}`, place = at.map((mm) => word(mm, tape));
  if (entry.landmarks) return [{ op: "add", path: `${pointer}/landmarks/${name.replaceAll("~", "~0").replaceAll("/", "~1")}`, value: place }];
  return [...out(entry, pointer, ["anchor", "to", "offset", "turn", "scale", "fit"]), ...set(index, { landmarks: { [name]: place } })];
}
/* A name that no file of the folder has. */
export function freeName(name, files) {
  const plain = name.toLowerCase().normalize("NFKD").replace(/[^a-z0-9._-]+/g, "-").replace(/^[-.]+/, "") || "file";
  const [, stem, end] = /^(.*?)(\.[a-z0-9]+)?$/.exec(plain), known = new Set((files || []).map((each) => each.path));
  let found = plain;
  for (let count = 2; known.has(found); count += 1) found = `${stem}-${count}${end || ""}`;
  return found;
}
