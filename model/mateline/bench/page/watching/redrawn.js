/* Remedies in a drawing: a piece that is too small is given to the colour round it, or drawn wider, where
   one element of the drawing is that piece and nothing else.

   redrawsOf(finding, face, art, table, palette, tape) -> [{ words, says, drawing, change(text) -> text }]
     face  GET C/faces/FACE;  art  GET C/faces/FACE/art                                              */
import { mmOf } from "../said.js";

const DRAWN = /^(path|rect|circle|ellipse|polygon|polyline)$/;
const BESIDE = 1.2; // mm: how far outside a piece its neighbour is looked for
const SMALL = new Set(["piece-tiny", "piece-narrow", "piece-without-tack"]);

export const isRedrawn = (finding) => SMALL.has(finding.code) && Boolean(finding.piece);

export function redrawsOf(finding, face, art, table, palette, tape) {
  const piece = face?.pieces.find((each) => each.id === finding.piece);
  if (!isRedrawn(finding) || !piece || !art) return [];
  const brush = document.createElement("canvas").getContext("2d"), spot = [piece.at[0], face.height - piece.at[1]];
  const holds = (d, [x, y]) => brush.isPointInPath(new Path2D(d), x, y, "evenodd");
  const all = art.flatMap((entry) => entry.shapes.map((shape) => ({ entry, shape })));
  const top = all.findLast(({ shape }) => holds(shape.d, spot));
  if (!top || top.shape.paint !== piece.colour || !top.entry.drawing?.endsWith(".svg")) return [];
  const whole = new Path2D(top.shape.d);
  const others = face.pieces.filter((each) => each !== piece && each.colour === piece.colour
    && brush.isPointInPath(whole, each.at[0], face.height - each.at[1], "evenodd"));
  if (others.length) return []; // the element is more than this piece
  const { drawing } = top.entry, found = [], next = around(piece, face, brush);
  const colour = palette.find((each) => each.name === next), own = palette.find((each) => each.name === piece.colour);
  if (colour) {
    found.push({ words: `Give it to ${next}`, says: `Give ${piece.id} to ${next}`, drawing,
      change: (text) => withWords(text, top.shape.element, { fill: colour.paint }) });
  }
  const by = finding.remedy.match(/Widen it by ([^,]+),/)?.[1], mm = by && mmOf(by.trim(), tape), scale = scaleOf(top.entry);
  if (mm && own && scale) {
    found.push({ words: `Draw it ${by.trim()} wider`, says: `Draw ${piece.id} ${by.trim()} wider`, drawing,
      change: (text) => {
        const view = /viewBox\s*=\s*["']\s*[-\d.e]+[\s,]+[-\d.e]+[\s,]+([\d.e]+)/i.exec(text);
        return view && withWords(text, top.shape.element, { stroke: own.paint,
          "stroke-width": String(Math.round((mm * 1.1 * Number(view[1]) * 1000) / scale) / 1000) });
      } });
  }
  return found;
}
/* How wide the drawing's page is on the face, mm; of one that is turned, about. */
const scaleOf = ({ page }) => (page ? Math.max(...page.map((spot) => spot[0])) - Math.min(...page.map((spot) => spot[0])) : 0);

/* The colour that most of a piece's border has on its other side. */
function around(piece, face, brush) {
  const numbers = piece.d.match(/-?\d+(?:\.\d+)?/g).map(Number), count = new Map();
  const paths = face.pieces.filter((each) => each !== piece).map((each) => [each.colour, new Path2D(each.d)]);
  const step = Math.max(1, Math.floor(numbers.length / 2 / 40));
  for (let at = 0; at < numbers.length; at += 2 * step)
    for (const [dx, dy] of [[BESIDE, 0], [-BESIDE, 0], [0, BESIDE], [0, -BESIDE]]) {
      const hit = paths.find(([, path]) => brush.isPointInPath(path, numbers[at] + dx, numbers[at + 1] + dy, "evenodd"));
      if (hit) count.set(hit[0], (count.get(hit[0]) || 0) + 1);
    }
  return [...count].filter(([colour]) => colour !== piece.colour).sort((one, other) => other[1] - one[1])[0]?.[0] || null;
}

/* The text with other words on one element, which is called "#id" or "<tag> in line 7"; null where it
   can't be told which one that is. Only its own tag is changed. */
export function withWords(text, element, words) {
  const tag = tagOf(text, element);
  if (!tag) return null;
  let changed = tag.text;
  for (const [name, value] of Object.entries(words)) {
    const inStyle = new RegExp(`(style\\s*=\\s*["'][^"']*?\\b${name}\\s*:\\s*)[^;"']+`), own = new RegExp(`(\\s${name}\\s*=\\s*)(["'])[^"']*\\2`);
    if (inStyle.test(changed)) changed = changed.replace(inStyle, `$1${value}`);
    else if (own.test(changed)) changed = changed.replace(own, `$1"${value}"`);
    else changed = changed.replace(/(\s*\/?>)$/, ` ${name}="${value}"$1`);
  }
  return text.slice(0, tag.at) + changed + text.slice(tag.at + tag.text.length);
}
function tagOf(text, element) {
  const named = /^#(.+)$/.exec(element), numbered = /^<(\w+)> in line (\d+)$/.exec(element);
  const tags = [...text.matchAll(/<(\w+)\b[^<>]*>/g)].filter((each) => DRAWN.test(each[1]));
  const fits = named ? tags.filter((each) => new RegExp(`\\sid\\s*=\\s*["']${named[1].replace(/[.*+?^${}()|[\]\\]/g, "\\$&")}["']`).test(each[0]))
    : numbered ? tags.filter((each) => each[1] === numbered[1] && text.slice(0, each.index).split("\n").length === Number(numbered[2])) : [];
  return fits.length === 1 ? { at: fits[0].index, text: fits[0][0] } : null;
}
