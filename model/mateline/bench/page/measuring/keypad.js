/* Beside the cabinet: one reading after another, with keys that a thumb finds. A keyboard works too.

   keypad({ tape, onRead(pair, text), onPick(pair), leave }) -> { el, stage, show(seen) }
   seen: { order: [pairs], values: {"A-B": text}, boards: {"A-B": "front"}, verdict: {tone, words} }
   `stage` is where the outline is drawn.                                                        */
import { fill, h } from "../dom.js";
import { icon } from "../icons.js";

const common = (a, b) => (b ? common(b, a % b) : a);
const INCH = 25.4;

export function keypad({ tape, onRead, onPick, leave }) {
  const el = h("section", { class: "keypad", aria_label: "One reading after another" });
  const told = h("div", { class: "told", role: "status" }), stage = h("div", { class: "stage" });
  let seen = null, now = null, text = "", untouched = true, skipped = new Set();

  const label = (pair) => pair.join("-");
  const known = (pair) => seen.values[label(pair)] ?? seen.values[label([...pair].reverse())] ?? "";
  const open = () => seen.order.filter((pair) => known(pair) === "" && !skipped.has(label(pair)));

  function go(pair) {
    now = pair;
    text = pair ? String(known(pair)) : "";
    untouched = true;
    onPick(pair);
    draw();
    el.querySelector("#keypad-typed")?.focus({ preventScroll: true });
  }
  function step(by) {
    const at = seen.order.findIndex((pair) => label(pair) === label(now));
    go(seen.order[Math.max(0, Math.min(seen.order.length - 1, at + by))]);
  }
  function after() {
    const left = open().filter((pair) => label(pair) !== label(now));
    const at = seen.order.findIndex((pair) => label(pair) === label(now));
    go(left.find((pair) => seen.order.indexOf(pair) > at) || left[0] || null);
  }
  async function take() {
    const pair = now, typed = text.trim();
    if (typed === "" ) return el.querySelector("#keypad-typed").focus();
    const same = typed === String(known(pair));
    if (!same) {
      seen.values[label(pair)] = typed; // until the server's answer comes, which is what counts
      onRead(pair, typed);
    }
    after();
  }
  function skip() {
    skipped = new Set([...skipped, label(now)]);
    after();
  }
  function type(piece) {
    if (untouched) text = "";
    untouched = false;
    const spaced = piece.includes("/") && piece.length > 1 && /\d$/.test(text);
    text += spaced ? ` ${piece}` : piece;
    put();
  }
  function rub() {
    text = untouched ? "" : text.slice(0, -1).trimEnd();
    untouched = false;
    put();
  }
  function put() {
    const input = el.querySelector("#keypad-typed");
    input.value = text;
    el.querySelector("#keypad-take").disabled = text.trim() === "";
  }

  const key = (shown, act, more = {}) => h("button", { type: "button", onclick: act, data_key: `key-${more.aria_label || shown}`, ...more }, shown);
  function keys() {
    const inch = tape.system === "inch";
    const digit = (each) => key(each, () => type(each));
    const side = inch ? [key("\u2032", () => type("' "), { aria_label: "feet" }), key("\u2033", () => type("\""), { aria_label: "inches" }),
      key("/", () => type("/"), { aria_label: "over" })]
      : [key("mm", () => type(" mm")), key("cm", () => type(" cm")), key("m", () => type(" m"))];
    return h("div", { class: "keys" }, ["7", "8", "9"].map(digit), side[0], ["4", "5", "6"].map(digit), side[1],
      ["1", "2", "3"].map(digit), side[2], key(inch ? "space" : ".", () => type(inch ? " " : "."), { aria_label: inch ? "space" : "point" }),
      digit("0"), key(icon("undo"), rub, { aria_label: "Rub out", class: "double" }));
  }
  function fractions() {
    if (tape.system !== "inch") return null;
    const parts = Math.min(16, Math.max(2, Math.round(INCH / tape.graduation_mm)));
    return h("div", { class: "fractions", role: "group", aria_label: "Fractions" }, Array.from({ length: parts - 1 }, (_, at) => {
      const by = common(at + 1, parts), words = `${(at + 1) / by}/${parts / by}`;
      return key(words, () => type(words));
    }));
  }

  function draw() {
    const { verdict, boards } = seen, count = `${seen.order.filter((pair) => known(pair) !== "").length} of ${seen.order.length}`;
    fill(told, h("p", { class: verdict.tone === "bad" ? "fault" : "" }, `${verdict.words[0].split(". ")[0].replace(/\.$/, "")}.`));
    const board = now && boards[label(now)];
    const bar = h("div", { class: "bar-of-tools" },
      h("p", { class: "pair" }, now ? h("label", { for: "keypad-typed" }, `${now[0]} to ${now[1]}`) : "All read.",
        board && h("span", { class: "hint" }, board)),
      h("span", { class: "gap" }), h("span", { class: "tag" }, h("span", { class: "unseen" }, "read: "), count),
      h("button", { type: "button", class: "tool", title: "All readings", aria_label: "All readings", data_key: "keypad-leave", onclick: leave }, icon("close")));
    const back = (act) => h("button", { type: "button", data_key: "keypad-back", onclick: act }, "Back");
    if (!now) {
      return fill(el, () => [bar, stage, h("div", { class: `panel verdict ${verdict.tone}` }, verdict.words.map((each) => h("p", {}, each))),
        h("div", { class: "steps" }, back(() => go(seen.order.at(-1))), h("span", {}),
          h("button", { type: "button", class: "main", data_key: "keypad-done", onclick: leave }, icon("tick"), "Done"))]);
    }
    fill(el, () => [bar, stage, told,
      h("input", { type: "text", class: "typed", id: "keypad-typed", value: text, inputmode: "none", autocomplete: "off", spellcheck: "false",
        oninput: (event) => {
          text = event.target.value;
          untouched = false;
          put();
        }, onkeydown: (event) => {
          if (event.key !== "Enter") return;
          event.preventDefault();
          take();
        } }),
      h("div", { class: "pads" }, keys(), fractions()),
      h("div", { class: "steps" }, back(() => step(-1)),
        h("button", { type: "button", data_key: "keypad-skip", onclick: skip }, "Can\u2019t reach"),
        h("button", { type: "button", class: "main", id: "keypad-take", disabled: text.trim() === "", onclick: take }, "Next"))]);
  }
  return { el, stage, show(next) {
    seen = next;
    if (!seen.order.length) return;
    if (now === null && !el.firstChild) go(open()[0] || seen.order[0]);
    else draw();
  }, now: () => now };
}
