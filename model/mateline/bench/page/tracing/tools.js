/* The tools on tracing paper. A tool gets points one after another and says what is seen meanwhile.

   tool(name, bench) -> { says(), point(spot), ghost(spot) -> d, back(), idle, from, last }
     says    what to do next, in words;  from, last  the last point and edge, for snapping
     point   a point is set: { at, kind };  ghost  the `d` of what would be drawn to there
     back    one step back; false if there is none
   bench: { paper(), commit(says, paper), template() -> {radius, by}, colour(), fill(at), said(mm) }  */
import { bulgeOf, bulgeThrough, centresThrough, dist, edge, kept, nearest, same } from "./geometry.js";
import { arc, circle, data, line } from "./paper.js";
import { drawn } from "./changes.js";

const tools = {
  line: (bench) => {
    let from = null, first = null, last = null;
    return {
      says: () => (from ? "Set the next corner. Shift holds 15\u00b0; Escape ends the line." : "Set where the line begins."),
      point({ at }) {
        if (!from) {
          from = first = at;
          return;
        }
        if (same(from, at)) return this.back();
        bench.commit(`Draw a line of ${bench.said(dist(from, at))}`, drawn(bench.paper(), line(from, at)));
        last = edge(from, at);
        from = same(at, first) ? null : at;
      },
      ghost: ({ at }) => (from && !same(from, at) ? data(line(from, at)) : ""),
      back() {
        if (!from) return false;
        from = first = last = null;
        return true;
      },
      get from() { return from; }, get last() { return last; }, get idle() { return !from; },
    };
  },
  arc: (bench) => {
    let set = [];
    const made = (through) => {
      const bulge = bulgeThrough(set[0], through, set[1]);
      return arc(set[0], set[1], bulge);
    };
    return {
      says: () => ["Set one end of the arc.", "Set its other end.", "Set a point that it goes through."][set.length],
      point({ at }) {
        if (set.some((each) => same(each, at))) return;
        if (set.length < 2) {
          set.push(at);
          return;
        }
        const found = made(at);
        set = [];
        const e = edge(found.start, found.steps[0].to, found.steps[0].bulge);
        bench.commit(e.centre ? `Draw an arc of ${bench.said(e.r)} radius` : "Draw a line", drawn(bench.paper(), found));
      },
      ghost({ at }) {
        if (!set.length || same(set[0], at)) return "";
        return data(set.length === 1 ? line(set[0], at) : same(set[1], at) ? line(set[0], set[1]) : made(at));
      },
      back() {
        set.pop();
        return true;
      },
      get from() { return set.length === 1 ? set[0] : null; }, last: null, get idle() { return !set.length; },
    };
  },
  circle: (bench) => {
    let centre = null;
    const radius = ({ at, kind }) => {
      const r = dist(centre, at), mark = bench.mark() / 2;
      return kind === "mark" || kind === "free" ? Math.max(mark, Math.round(r / mark) * mark) : r;
    };
    return {
      says: () => (centre ? "Set a point on the circle." : "Set the circle\u2019s middle."),
      point(spot) {
        if (!centre) {
          centre = spot.at;
          return;
        }
        if (same(centre, spot.at)) return;
        const r = kept([radius(spot), 0])[0];
        bench.commit(`Draw a circle ${bench.said(2 * r)} across`, drawn(bench.paper(), circle(centre, r)));
        centre = null;
      },
      ghost: (spot) => (centre && !same(centre, spot.at) ? data(circle(centre, radius(spot))) : ""),
      back() {
        if (!centre) return false;
        centre = null;
        return true;
      },
      get from() { return null; }, last: null, get idle() { return !centre; },
    };
  },
  template: (bench) => {
    let set = [];
    const ways = () => {
      const { radius } = bench.template();
      if (!centresThrough(set[0], set[1], radius).length) return [];
      return [1, -1].flatMap((side) => [false, true].map((large) => bulgeOf(set[0], set[1], radius, large, side)));
    };
    const nearestWay = (at) => ways().map((bulge) => ({ bulge, d: nearest(edge(set[0], set[1], bulge), at).d }))
      .sort((a, b) => a.d - b.d)[0];
    return {
      says() {
        const { by, radius } = bench.template();
        if (by === "middle") return `Lay the ${bench.said(2 * radius)} circle on: set its middle.`;
        if (set.length === 2 && !ways().length) return "This circle is too small to touch both: choose a larger one.";
        return ["Set the first end that the circle touches.", "Set the second end.", "Choose the arc: set a point near it."][set.length];
      },
      point({ at }) {
        const { by, radius } = bench.template();
        if (by === "middle") {
          bench.commit(`Lay on a circle ${bench.said(2 * radius)} across`, drawn(bench.paper(), circle(at, radius)));
        } else if (set.length < 2) {
          if (!set.some((each) => same(each, at))) set.push(at);
        } else {
          const way = nearestWay(at);
          if (!way) return;
          const found = arc(set[0], set[1], way.bulge, kept([radius, 0])[0]);
          set = [];
          bench.commit(`Draw an arc by the ${bench.said(2 * radius)} circle`, drawn(bench.paper(), found));
        }
      },
      ghost({ at }) {
        const { by, radius } = bench.template();
        if (by === "middle") return data(circle(at, radius));
        if (!set.length) return "";
        if (set.length === 1) return same(set[0], at) ? "" : data(line(set[0], at));
        const way = nearestWay(at);
        return way ? data(arc(set[0], set[1], way.bulge)) : data(line(set[0], set[1]));
      },
      back() {
        if (!set.length) return false;
        set.pop();
        return true;
      },
      get from() { return null; }, last: null, get idle() { return !set.length; },
    };
  },
  fill: (bench) => ({
    says: () => "Set a point in a region: it fills with the colour.",
    point({ at }) { bench.fill(at); },
    ghost: () => "",
    back: () => false,
    from: null, last: null, idle: true,
  }),
};

export const tool = (name, bench) => tools[name](bench);
