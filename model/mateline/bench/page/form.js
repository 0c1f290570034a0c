/* Inputs made from the definition's JSON Schema, for any of its tables. Each change is one edit with
   words. Faults of the definition are shown at the field that they are of.

   await schemas()                       loads the schema, once
   part("CarcaseTable"), part("")        a table's schema, and that of the whole file
   form(part, value, pointer, options) -> { el, update(value, newOptions) }
     only, order   names of fields to show, and which come first;  leave: names not to show
     labels, help  {name: words} in place of wording.js's
     choices       {name: [value or [value, words]]} for texts that name something of the cabinet
     sets          of these, names of lists in which order means nothing: shown as chips
     of            whose fields they are, for the words of edits: "the body"
     fresh         {name: value} what a new entry of a list or a table starts as
     key           before all ids, if a field stands twice on the page
     plain         no groups: as few words as possible
   place(pointer)                        what faults call a place: "carcase 1 (body), width"
   faults(pointer)                       the faults of a place and of all in it
   looseFaults(host)                     the faults that no field in `host` shows
   reading(text)                         a length as the file should have it: a number where it is one
   pointerTo("carcase", 0, "a/b")        a JSON pointer;  lookUp(pointer) what is there              */
import { fill, h } from "./dom.js";
import { icon } from "./icons.js";
import { at as address, edit, state } from "./store.js";
import { get } from "./wire.js";
import { choiceOf, helpOf, labelOf, plainly, unitOf } from "./wording.js";

let root = null;

export async function schemas() {
  root ||= (await get(address("definition?schema=1"))).schema;
  return root;
}
const resolved = (of) => (of?.$ref ? root.$defs[of.$ref.split("/").pop()] : of);
export const part = (name) => (name ? root.$defs[name] : root);

// ---- places and pointers

const escaped = (step) => String(step).replaceAll("~", "~0").replaceAll("/", "~1");
export const pointerTo = (...steps) => steps.map((step) => `/${escaped(step)}`).join("");
const stepsOf = (pointer) => pointer.split("/").slice(1).map((step) => step.replaceAll("~1", "/")
  .replaceAll("~0", "~"));
export const lookUp = (pointer, table = state.definition.table) => stepsOf(pointer)
  .reduce((inside, step) => inside?.[step], table);

export function place(pointer) {
  const words = [];
  let inside = state.definition.table;
  for (const step of stepsOf(pointer)) {
    const numbered = Array.isArray(inside);
    inside = inside?.[step];
    if (!numbered) words.push(step);
    else words.push(`${words.pop() || ""} ${Number(step) + 1}${inside?.name ? ` (${inside.name})` : ""}`);
  }
  return words.join(", ");
}
const inside = (where, own) => where === own || where.startsWith(`${own}, `) || where.startsWith(`${own} `);
export const faults = (pointer) => state.definition.faults.filter((each) => inside(each.place, place(pointer)));
export function looseFaults(host) {
  const shown = new Set([...host.querySelectorAll("[data-fault]")].map((each) => each.dataset.fault));
  return state.definition.faults.filter((each) => !shown.has(faultKey(each)));
}
const faultKey = (each) => `${each.place}|${each.what}`;
export const faultLine = (each, id) => h("p", { class: "fault", id, data_fault: faultKey(each) },
  `${each.what} ${each.remedy}`.trim());

export function reading(text) {
  const plain = text.trim();
  const metric = !["in", "ft"].includes(state.definition.tape.unit);
  return metric && /^-?(0|[1-9]\d*)(\.\d+)?$/.test(plain) ? Number(plain) : plain;
}

// ---- what kind of field a piece of the schema is

const kinds = (of) => (of.anyOf || [of]).map(resolved);
const isReading = (all) => all.some((each) => each.type === "string") && all.some((each) => each.type === "number")
  && all.some((each) => each.type === "integer");
const inner = (of) => (of.additionalProperties && typeof of.additionalProperties === "object"
  ? of.additionalProperties : Object.values(of.patternProperties || {})[0]);

export function kindOf(given) {
  const all = kinds(given), optional = all.some((each) => each.type === "null");
  const rest = all.filter((each) => each.type !== "null");
  const of = rest[0], list = rest.find((each) => each.type === "array");
  const found = (kind, more) => ({ kind, of, optional, default: given.default, ...more });
  if (isReading(rest)) {
    if (rest.some((each) => each.type === "boolean")) return found("switch-or-reading");
    return list ? found("one-or-more", { item: list.items }) : found("reading");
  }
  if (list && list.prefixItems) return found("pair", { of: list });
  if (list && resolved(list.items).enum) return found("several", { of: list, values: resolved(list.items).enum });
  if (list) return found(resolved(list.items).properties ? "tables" : "list", { of: list, single: rest.length > 1 });
  if (of.enum) return found("choice", { values: of.enum });
  if (of.type === "boolean") return found("switch");
  if (of.type === "number" || of.type === "integer") return found("number");
  if (of.type === "object" && of.properties) return found("table");
  if (of.type === "object") return found("entries", { item: inner(of) });
  if (of.format === "date" || of.format === "time") return found(of.format);
  if (of.pattern?.startsWith("^#")) return found("colour");
  return found("text");
}

// ---- the form

export function form(table, value, pointer, options = {}) {
  const el = h("div", { class: "fields" });
  let last = null, now = options;
  const made = { el, update(next, more) {
    now = { ...now, ...more };
    const { choices, labels, of, only } = now;
    const whole = JSON.stringify([next, faults(pointer), choices, labels, of, only, state.definition.tape]);
    if (whole === last) return;
    last = whole;
    fill(el, fieldsOf(table, next || {}, pointer, now));
  } };
  made.update(value);
  return made;
}

function fieldsOf(table, value, pointer, options) {
  const { only, leave = [], order = [] } = options;
  const names = Object.keys(table.properties).filter((name) => (!only || only.includes(name)) && !leave.includes(name));
  const rank = (name) => (only || order).indexOf(name);
  names.sort((a, b) => (rank(a) + 1 || 99) - (rank(b) + 1 || 99));
  return names.map((name) => field(name, table.properties[name], value[name], `${pointer}/${escaped(name)}`, options));
}

/* One field, whatever its kind: `name` is its word, `given` its schema. */
export function field(name, given, value, pointer, options = {}) {
  const kind = options.choices?.[name] && kindOf(given).kind === "text"
    ? { ...kindOf(given), kind: "choice", values: options.choices[name] } : kindOf(given);
  const said = options.labels?.[name] || labelOf(name);
  const own = { name, value, pointer, options, kind, said, called: labelOf(name), id: `${options.key || ""}field${pointer}`,
    help: options.help?.[name] ?? helpOf(name) };
  return (MAKERS[kind.kind] || MAKERS.text)(own);
}

const whose = (own) => (own.options.of ? ` of ${own.options.of}` : "");
const lower = (text) => (/^[A-Z][a-z]/.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text);

function change(own, next, words) {
  if (next === undefined) {
    if (lookUp(own.pointer) === undefined) return null;
    return edit(words || `Take out the ${lower(own.called)}${whose(own)}`, [{ op: "remove", path: own.pointer }]);
  }
  const shown = typeof next === "object" ? "" : ` to ${next === true ? "yes" : next === false ? "no" : next}`;
  return edit(words || `${shown ? "Set" : "Change"} the ${lower(own.called)}${whose(own)}${shown}`,
    [{ op: "add", path: own.pointer, value: next }]);
}

/* Label, what is in it, help and faults, tied together for ears. `exact`: only faults of the place
   itself, since those in it are shown there. */
function framed(own, input, { whole = false, exact = false, group = false } = {}) {
  const wrong = faults(own.pointer).filter((each) => !exact || each.place === place(own.pointer));
  const ids = [own.help && `${own.id}-help`, ...wrong.map((_, at) => `${own.id}-fault${at}`)].filter(Boolean);
  const told = [own.help && h("p", { class: "help", id: `${own.id}-help` }, own.help),
    wrong.map((each, at) => faultLine(each, `${own.id}-fault${at}`))];
  if (group) {
    return h("fieldset", { class: wrong.length ? "bad whole" : "whole", aria_describedby: ids.join(" ") || null },
      h("legend", {}, own.said), input, told);
  }
  for (const each of [input, ...input.querySelectorAll("input, select, textarea")]) {
    if (!each.matches("input, select, textarea")) continue;
    if (ids.length) each.setAttribute("aria-describedby", ids.join(" "));
    if (wrong.length) each.setAttribute("aria-invalid", "true");
  }
  return h("div", { class: `field${wrong.length ? " bad" : ""}${whole ? " whole" : ""}` },
    own.bare ? null : h("label", { for: own.id }, own.said), input, told);
}

/* A text input that tells `taken(text)` once, when it is left or Enter is pressed in it. */
export function textInput({ id, value = "", taken, ...more }) {
  const input = h("input", { type: "text", id, value, autocomplete: "off", spellcheck: "false", ...more,
    oninput: () => { input.dataset.typed = ""; },
    onchange: () => {
      delete input.dataset.typed;
      if (input.isConnected && input.value.trim() !== String(value)) taken(input.value.trim(), input);
    },
    onkeydown: (event) => {
      if (event.key !== "Escape" || input.dataset.typed === undefined) return;
      event.stopPropagation();
      input.value = value;
      delete input.dataset.typed;
    } });
  return input;
}

const shownDefault = (given) => (given === undefined || given === null || typeof given === "object" ? null : String(given));
function withUnit(input, unit) {
  return unit ? h("div", { class: "with-unit" }, input, h("span", { class: "unit", aria_hidden: "true" }, unit)) : input;
}
const fileUnit = () => ({ in: "in", ft: "ft", mm: "mm", cm: "cm", m: "m" })[state.definition.tape.unit];
const hasUnit = (value) => typeof value === "string" && /[a-z'"]/i.test(value.trim());

function readingInput(own, value = own.value, id = own.id, taken = (next) => change(own, next)) {
  const preset = shownDefault(own.kind.default);
  return withUnit(textInput({ id, value: value ?? "", inputmode: "text", placeholder: preset,
    aria_label: own.bare ? own.said : null, taken: (text) => taken(text === "" ? undefined : reading(text)) }),
  hasUnit(value ?? preset) ? null : fileUnit());
}

function select(own, values, value, taken, blank) {
  const known = values.map((each) => (Array.isArray(each) ? each : [each, choiceOf(own.name, each)]));
  if (value !== undefined && value !== null && !known.some(([each]) => each === value)) known.push([value, plainly(value)]);
  return h("select", { id: own.id, aria_label: own.bare ? own.said : null,
    onchange: (event) => taken(event.target.value === "" ? undefined : event.target.value) },
  (blank !== null || value === undefined) && h("option", { value: "", selected: value === undefined }, blank || "choose"),
  known.map(([each, words]) => h("option", { value: each, selected: each === value }, words)));
}

const tool = (sign, label, act, key) => h("button", { type: "button", class: "tool", aria_label: label,
  title: label, onclick: act, data_key: key }, icon(sign));

/* What of a table of the schema's own defaults is said at all. */
const said = (of) => Object.fromEntries(Object.entries(of).filter(([, each]) => each !== null));
/* A table or a pair that is not there: a button that begins it. */
const absent = (own, first) => h("div", { class: "field" }, h("button", { type: "button", id: own.id,
  onclick: () => change(own, first, `Add ${lower(own.said)}${whose(own)}`) }, icon("plus"), own.said));

const MAKERS = {
  text: (own) => framed(own, textInput({ id: own.id, value: own.value ?? "",
    taken: (text) => change(own, text === "" ? undefined : text) })),
  reading: (own) => framed(own, readingInput(own)),
  number: (own) => framed(own, withUnit(textInput({ id: own.id, value: own.value ?? "", inputmode: "decimal",
    placeholder: shownDefault(own.kind.default), taken: (text, input) => {
      const number = Number(text.replace(",", "."));
      if (text === "") change(own, undefined);
      else if (Number.isFinite(number)) change(own, number);
      else input.closest(".field").append(h("p", { class: "fault" }, `“${text}” is no number.`));
    } }), unitOf(own.name))),
  choice: (own) => {
    const preset = shownDefault(own.kind.default);
    const blank = own.kind.optional ? "not said" : preset === null ? null : `${choiceOf(own.name, preset)} (as usual)`;
    return framed(own, select(own, own.kind.values, own.value, (next) => change(own, next), blank));
  },
  switch: (own) => {
    const on = own.value ?? own.kind.default ?? false;
    return framed({ ...own, bare: true }, h("label", { class: "tick" }, h("input", { type: "checkbox", id: own.id,
      checked: on, onchange: (event) => change(own, event.target.checked) }), own.said));
  },
  date: (own) => framed(own, h("input", { type: "date", id: own.id, value: own.value ?? "",
    onchange: (event) => change(own, event.target.value ? { $toml: event.target.value } : undefined,
      event.target.value ? `Set the ${lower(own.said)} to ${event.target.value}` : undefined) })),
  time: (own) => framed(own, h("input", { type: "time", id: own.id, value: (own.value ?? own.kind.default ?? "").slice(0, 5),
    onchange: (event) => change(own, event.target.value ? { $toml: `${event.target.value.slice(0, 5)}:00` } : undefined,
      event.target.value ? `Set the ${lower(own.said)} to ${event.target.value}` : undefined) })),
  colour: (own) => {
    const written = textInput({ id: own.id, value: own.value ?? "", maxlength: 7,
      taken: (text) => change(own, text === "" ? undefined : text.startsWith("#") ? text : `#${text}`) });
    const look = /^#[0-9a-f]{6}$/i.test(own.value ?? "") ? own.value : "#888888";
    return framed(own, h("div", { class: "with-unit" }, h("input", { type: "color", value: look,
      data_key: `${own.id}-look`, aria_label: `${own.said}, choose`, onchange: (event) => change(own, event.target.value) }),
    written));
  },
  "switch-or-reading": (own) => {
    const is = own.value === undefined || own.value === false ? "no" : own.value === true ? "yes" : "length";
    const way = select(own, [["no", "no"], ["yes", "yes"], ["length", "by a length"]], is,
      (next) => change(own, next === "no" ? undefined : next === "yes" ? true : reading("1")), null);
    return framed(own, h("div", { class: "with-unit" }, way, is === "length"
      && readingInput({ ...own, bare: true }, own.value, `${own.id}-length`)));
  },
  pair: (own) => {
    if (own.kind.optional && !own.value) return absent(own, own.options.fresh?.[own.name] || own.kind.of.prefixItems.map(() => 0));
    const preset = own.kind.default || own.kind.of.prefixItems.map(() => 0);
    const now = own.value || preset;
    const names = { sheet: ["width", "height"], bed: ["width", "height"], offset: ["right", "up"], at: ["right", "up"] }[own.name] || ["first", "second"];
    return framed(own, h("div", { class: "fields" }, now.map((each, at) => framed({ ...own, bare: false, help: null,
      id: `${own.id}-${at}`, said: labelOf(names[at] || String(at + 1)), pointer: `${own.pointer}/${at}` },
    readingInput({ ...own, kind: {} }, each, `${own.id}-${at}`,
      // On what is there when it is this edit's turn: the other half may have been typed just before.
      (next) => edit(`Change the ${lower(own.said)}${whose(own)}`, (present) => [{ op: "add", path: own.pointer,
        value: (lookUp(own.pointer, present) || preset).map((old, which) => (which === at ? next ?? preset[at] : old)) }])))),
    own.kind.optional && tool("trash", `Take the ${lower(own.said)} out`, () => change(own, undefined), `${own.id}-out`)), { group: true, exact: true });
  },
  several: (own) => {
    const now = own.value || own.kind.default || [];
    return framed(own, h("div", { class: "chips" }, own.kind.values.map((each) => h("button", { type: "button",
      data_key: `${own.id}-${each}`, aria_pressed: String(now.includes(each)), onclick: () => {
        const next = now.includes(each) ? now.filter((other) => other !== each)
          : own.kind.values.filter((other) => other === each || now.includes(other));
        change(own, next.length ? next : undefined);
      } }, choiceOf(own.name, each)))), { group: true });
  },
  "one-or-more": (own) => {
    const now = Array.isArray(own.value) ? own.value : [own.value ?? ""];
    const set = (next) => change(own, next.length === 1 ? next[0] : next.length ? next : undefined);
    return framed({ ...own, id: `${own.id}-0` }, h("div", { class: "with-unit" }, now.map((each, at) =>
      readingInput({ ...own, kind: {}, bare: at > 0 }, each, `${own.id}-${at}`, (next) => set(next === undefined
        ? now.filter((_, which) => which !== at) : now.map((old, which) => (which === at ? next : old)))))));
  },
  list: (own) => {
    if (own.options.sets?.includes(own.name)) {
      return MAKERS.several({ ...own, kind: { ...own.kind, values: own.options.choices[own.name] } });
    }
    const now = own.value === undefined || own.value === null ? [] : Array.isArray(own.value) ? own.value : [own.value];
    const set = (next, words) => change(own, next.length === 0 ? undefined
      : next.length === 1 && own.kind.single ? next[0] : next, words);
    const moved = (at, by) => {
      const next = [...now];
      next.splice(at + by, 0, next.splice(at, 1)[0]);
      set(next, `Move ${now[at]} in the ${lower(own.said)}`);
    };
    const values = own.options.choices?.[own.name], pairs = resolved(own.kind.of.items).prefixItems !== undefined;
    const left = values?.map((each) => (Array.isArray(each) ? each : [each, plainly(each)]))
      .filter(([each]) => !now.includes(each));
    const add = values ? left.length > 0 && select({ ...own, bare: true, said: `Add to ${lower(own.said)}`, id: `${own.id}-add` },
      left, undefined, (next) => next && set([...now, next], `Add ${next} to the ${lower(own.said)}`), "add …")
      : textInput({ id: `${own.id}-add`, aria_label: `Add to ${lower(own.said)}`, placeholder: pairs ? "add two: 4; 1 1/2" : "add …",
        taken: (text) => text && set([...now, pairs ? text.split(/\s*;\s*|,\s+/).map(reading) : text], `Add ${text} to the ${lower(own.said)}`) });
    return framed(own, h("div", {}, h("ul", { class: "rows" }, now.map((each, at) => h("li", { class: "row" },
      h("span", { class: "value" }, plainly(Array.isArray(each) ? each.join(", ") : each)),
      tool("up", `${each} before`, () => at > 0 && moved(at, -1), `${own.id}-up${at}`),
      tool("down", `${each} after`, () => at < now.length - 1 && moved(at, 1), `${own.id}-down${at}`),
      tool("trash", `Take ${each} out`, () => set(now.filter((_, which) => which !== at)), `${own.id}-out${at}`)))), add),
    { group: true });
  },
  tables: (own) => {
    const now = own.value || [], table = resolved(own.kind.of.items), usual = own.kind.default || [];
    if (!own.value && usual.length) {
      return framed(own, h("p", { class: "hint" }, `${usual.length}, as usual. `, h("button", { type: "button", data_key: `${own.id}-own`,
        onclick: () => change(own, usual.map(said)) }, icon("pen"), "Change them")), { group: true, exact: true });
    }
    return framed(own, h("div", { class: "rows" }, now.map((each, at) => h("div", { class: "row" },
      h("div", { class: "value fields" }, fieldsOf(table, each, `${own.pointer}/${at}`, { ...own.options, only: null,
        of: `${lower(own.said)} ${at + 1}` })),
      tool("trash", `Take ${lower(own.said)} ${at + 1} out`, () => edit(`Take out ${lower(own.said)} ${at + 1}${whose(own)}`,
        now.length > 1 ? [{ op: "remove", path: `${own.pointer}/${at}` }] : [{ op: "remove", path: own.pointer }]),
      `${own.id}-out${at}`))),
    h("button", { type: "button", data_key: `${own.id}-more`, onclick: () => change(own, [...now, own.options.fresh?.[own.name] || {}],
      `Add to the ${lower(own.said)}${whose(own)}`) }, icon("plus"), "Add")), { group: true, exact: true });
  },
  table: (own) => {
    const there = own.value !== undefined && own.value !== null;
    if (!there && own.kind.optional) return absent(own, own.options.fresh?.[own.name] || {});
    const more = { ...own.options, only: own.options.within?.[own.name] || null, of: `${lower(own.said)}${whose(own)}` };
    return framed(own, h("div", {}, h("div", { class: "fields" }, fieldsOf(own.kind.of, own.value || {}, own.pointer, more)),
      there && own.kind.optional && h("button", { type: "button", class: "danger", data_key: `${own.id}-out`,
        onclick: () => change(own, undefined) }, icon("trash"), `Take out`)), { group: true, exact: true });
  },
  entries: (own) => {
    const now = own.value || {}, of = own.kind.item;
    const isTable = resolved(of).properties !== undefined;
    const values = own.options.choices?.[own.name];
    const add = (key, value) => change({ ...own, pointer: `${own.pointer}/${escaped(key)}` }, value,
      `Add ${key} to the ${lower(own.said)}${whose(own)}`);
    const scalar = !isTable && own.options.fresh?.[own.name] === undefined;
    const first = own.options.fresh?.[own.name] ?? {};
    const left = values?.filter((each) => !(String(Array.isArray(each) ? each[0] : each) in now));
    let key = "", value = "";
    const both = () => (scalar ? key && value !== "" && add(key, value) : key && add(key, first));
    const named = { ...own, bare: true, said: `Add to ${lower(own.said)}`, id: `${own.id}-add` };
    const chosen = (next) => {
      key = next || "";
      both();
    };
    const adder = h("div", { class: "with-unit" }, values ? select(named, left, undefined, chosen, "add …")
      : textInput({ id: named.id, aria_label: named.said, placeholder: "add …", taken: chosen }),
    scalar && textInput({ id: `${named.id}-value`, aria_label: `${named.said}: how much`, inputmode: "text", placeholder: "how much",
      taken: (text) => {
        value = resolved(of).type === "number" ? Number(text.replace(",", ".")) : reading(text);
        both();
      } }));
    return framed(own, h("div", {}, Object.entries(now).map(([key, each]) => {
      const pointer = `${own.pointer}/${escaped(key)}`;
      const drop = tool("trash", `Take ${key} out`, () => edit(`Take ${key} out of the ${lower(own.said)}${whose(own)}`,
        [{ op: "remove", path: pointer }]), `${own.id}-out-${key}`);
      return h("div", { class: "row with-unit" }, h("div", { class: "value" }, field(key, of, each, pointer, { ...own.options,
        only: null, labels: { ...own.options.labels, [key]: own.options.entryLabels?.[own.name]?.(key) || key } })), drop);
    }), adder), { group: true, exact: true });
  },
};
