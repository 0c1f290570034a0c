/* What is on the tracing paper, as a borders file has it, and that file's text.

   paper   { width, height, outline, borders, seeds, marks }, mm, y down, changed by making it anew
   border  { key, name, start, steps: [{ to, bulge, r }] } or { key, name, centre, radius }; r is
           the radius as the file has it, null once the arc was changed
   seed    { key, name, at, colour };  mark  a border that was guessed
   The text is what mateline.drawing.borders.writer writes, byte for byte.                       */
import { bulgeOf, circleEdge, dist, edge, flags } from "./geometry.js";

let count = 0;
export const freshKey = () => (count += 1);
const LOOK = {
  outline: 'fill="none" stroke="#808080" stroke-width="0.5"',
  border: 'fill="none" stroke="#000000" stroke-width="0.5"',
  guessed: 'fill="none" stroke="none"',
};

export const line = (a, b) => ({ key: freshKey(), name: null, start: a, steps: [{ to: b, bulge: 0, r: null }] });
export const arc = (a, b, bulge, r = null) => ({ key: freshKey(), name: null, start: a, steps: [{ to: b, bulge, r }] });
export const circle = (centre, radius) => ({ key: freshKey(), name: null, centre, radius });
export const seed = (at, colour) => ({ key: freshKey(), name: null, at, colour });
export const isCircle = (border) => "centre" in border;

/* All edges of a border; of the whole paper, the outline's too. */
export function edgesOf(border) {
  if (isCircle(border)) return [circleEdge(border.centre, border.radius, { owner: border.key, step: 0 })];
  let a = border.start;
  return border.steps.map(({ to, bulge }, step) => {
    const made = edge(a, to, bulge, { owner: border.key, step });
    a = to;
    return made;
  });
}
export const everyEdge = (paper) => [...(paper.outline ? edgesOf(paper.outline) : []),
  ...paper.borders.flatMap(edgesOf)].filter((e) => dist(e.a, e.b) > 0 || e.whole);

/* ---- its text */
export function text(paper) {
  const w = number(paper.width), h = number(paper.height);
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" data-kind="borders" width="${w}mm" height="${h}mm" viewBox="0 0 ${w} ${h}">`,
    ...(paper.outline ? [drawn(paper.outline, "outline")] : []),
    ...paper.borders.map((each) => drawn(each, "border")),
    ...paper.seeds.map((each) => `<circle class="seed"${id(each)} cx="${number(each.at[0])}" cy="${
      number(each.at[1])}" r="2" fill="${each.colour}"/>`),
    ...paper.marks.map((each) => drawn(each, "guessed")),
    "</svg>", "",
  ].join("\n");
}
const id = ({ name }) => (name === null ? "" : ` id=${quoted(name)}`);
/* As Python's quoteattr quotes. */
function quoted(name) {
  const safe = name.replaceAll("&", "&amp;").replaceAll(">", "&gt;").replaceAll("<", "&lt;")
    .replaceAll("\n", "&#10;").replaceAll("\r", "&#13;").replaceAll("\t", "&#9;");
  return safe.includes('"') && safe.includes("'") ? `"${safe.replaceAll('"', "&quot;")}"`
    : safe.includes('"') ? `'${safe}'` : `"${safe}"`;
}
function number(value) {
  const said = value.toFixed(10).replace(/\.?0+$/, "");
  return said === "-0" ? "0" : said;
}
const pair = ([x, y]) => `${number(x)} ${number(y)}`;
function drawn(border, kind) {
  if (isCircle(border)) {
    return `<circle class="${kind}"${id(border)} cx="${number(border.centre[0])}" cy="${
      number(border.centre[1])}" r="${number(border.radius)}" ${LOOK[kind]}/>`;
  }
  return `<path class="${kind}"${id(border)} d="${data(border)}" ${LOOK[kind]}/>`;
}
/* The `d` of a border. */
export function data(border) {
  if (isCircle(border)) {
    const { centre: [x, y], radius } = border, r = number(radius);
    return `M${pair([x + radius, y])} A${r} ${r} 0 0 1 ${pair([x - radius, y])} A${r} ${r} 0 0 1 ${pair([x + radius, y])}`;
  }
  let at = border.start;
  return [`M${pair(at)}`, ...border.steps.map(({ to, bulge, r }) => {
    const from = at;
    at = to;
    if (!bulge) return `L${pair(to)}`;
    const { large, sweep } = flags(bulge), size = number(r ?? edge(from, to, bulge).r);
    return `A${size} ${size} 0 ${large ? 1 : 0} ${sweep ? 1 : 0} ${pair(to)}`;
  })].join(" ");
}

/* ---- read: only what the server gives, which is always plain */
export function read(svg) {
  const root = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
  const [, , width, height] = root.getAttribute("viewBox").split(" ").map(Number);
  const paper = { width, height, outline: null, borders: [], seeds: [], marks: [] };
  for (const el of root.children) {
    const name = el.getAttribute("id"), key = freshKey(), kind = el.getAttribute("class");
    const value = (which) => Number(el.getAttribute(which));
    if (kind === "seed") {
      paper.seeds.push({ key, name, at: [value("cx"), value("cy")], colour: el.getAttribute("fill") });
      continue;
    }
    const border = el.localName === "circle"
      ? { key, name, centre: [value("cx"), value("cy")], radius: value("r") }
      : { key, name, ...steps(el.getAttribute("d")) };
    if (kind === "outline") paper.outline = border;
    else (kind === "guessed" ? paper.marks : paper.borders).push(border);
  }
  return paper;
}
function steps(d) {
  const found = { start: null, steps: [] };
  let at = null;
  for (const [, command, rest] of d.matchAll(/([MLA])([^MLA]*)/g)) {
    const n = rest.trim().split(/\s+/).map(Number), to = n.slice(-2);
    if (command === "M") found.start = to;
    else if (command === "L") found.steps.push({ to, bulge: 0, r: null });
    else found.steps.push({ to, bulge: bulgeOf(at, to, n[0], n[3] === 1, n[4] ? 1 : -1), r: n[0] });
    at = to;
  }
  return found;
}
