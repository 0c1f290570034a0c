/* Which boards of a carcase meet, and how: what the definition says of it and what goes without saying.

   boardsOf(carcase)        [{name, edge: "A-B" or null, table}]: those on the outline, then its two ends
   pairsOf(carcase)         [[one, other], ...]: boards that share an edge
   jointOf(carcase, a, b)   { kind: "over"|"mitre", first, said: index in joints or -1 }
   jointPatch(carcase, index, a, b, kind, first)   operations that make it so
   edgeKey(carcase, a, b)   the key in edges for the two, and whether it is there
   thickness(carcase, name, tape, measures)   mm, or null                                            */
import { mmOf } from "../said.js";

const ENDS = { side: ["left", "right"], plan: ["bottom", "top"], front: ["front", "back"] };

export function boardsOf(carcase) {
  const panels = carcase.panels || {}, ends = ENDS[carcase.view] || [];
  const edges = Object.entries(panels).filter(([, each]) => each.edge).map(([name, table]) => ({ name, edge: table.edge, table }));
  return [...edges, ...ends.map((name) => ({ name, edge: null, table: panels[name] || {} }))];
}
export const endsOf = (carcase) => ENDS[carcase.view] || [];

/* The board on the side of the outline from one corner to the next; null where there is none. */
export function boardOn(carcase, one, other) {
  return boardsOf(carcase).find(({ edge }) => edge && [`${one}-${other}`, `${other}-${one}`].includes(edge)) || null;
}
export function pairsOf(carcase) {
  const names = carcase.corners || [], ring = names.map((name, at) => boardOn(carcase, name, names[(at + 1) % names.length]));
  const found = [];
  ring.forEach((board, at) => {
    const next = ring[(at + 1) % ring.length];
    if (board && next) found.push({ boards: [board.name, next.name], corner: names[(at + 1) % names.length] });
  });
  for (const end of endsOf(carcase)) for (const board of ring) if (board) found.push({ boards: [end, board.name], corner: null });
  return found;
}
const JOINT = /^\s*(\S+)\s+(over|mitre)\s+(\S+)\s*$/;
const isPair = (one, other, a, b) => (one === a && other === b) || (one === b && other === a);

export function jointOf(carcase, a, b) {
  const said = (carcase.joints || []).findIndex((text) => {
    const found = JOINT.exec(text);
    return found && isPair(found[1], found[3], a, b);
  });
  if (said >= 0) {
    const [, first, kind] = JOINT.exec(carcase.joints[said]);
    return { kind, first, said };
  }
  const ends = endsOf(carcase), order = [...Object.keys(carcase.panels || {})];
  const rank = (name) => (ends.includes(name) ? -1 : order.indexOf(name));
  return { kind: "over", first: rank(a) <= rank(b) ? a : b, said };
}
export function jointPatch(carcase, index, a, b, kind, first) {
  const { said } = jointOf(carcase, a, b), path = `/carcase/${index}/joints`;
  if (kind === null) {
    if (said < 0) return [];
    return [carcase.joints.length === 1 ? { op: "remove", path } : { op: "remove", path: `${path}/${said}` }];
  }
  const text = `${first} ${kind} ${first === a ? b : a}`;
  if (said >= 0) return [{ op: "replace", path: `${path}/${said}`, value: text }];
  return [carcase.joints ? { op: "add", path: `${path}/-`, value: text } : { op: "add", path, value: [text] }];
}
export function edgeKey(carcase, a, b) {
  const there = Object.keys(carcase.edges || {}).find((key) => [`${a} and ${b}`, `${b} and ${a}`].includes(key.trim().replace(/\s+/g, " ")));
  const ends = endsOf(carcase), [one, other] = ends.includes(b) && !ends.includes(a) ? [b, a] : [a, b];
  return { key: there || `${one} and ${other}`, there: there !== undefined, value: there ? carcase.edges[there] : undefined };
}
export function thickness(carcase, name, tape, measures) {
  return mmOf(carcase.panels?.[name]?.board ?? carcase.board, tape, measures);
}
export const isInside = (carcase, corner) => ["outline", "left", "right"].some((each) => carcase[each]?.reflex?.includes(corner));
