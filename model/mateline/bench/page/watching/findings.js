/* A finding as it is listed: closed one line, open with its words, its remedies and what settles it.

   findingItem(finding, { open, data, choose, settle })    li
   settleWithReason(finding, findings, tape) -> whether a reason was given: then it is settled by it  */
import { h } from "../dom.js";
import { place } from "../form.js";
import { icon } from "../icons.js";
import { headOf, levelSaid, remediesOf, SETTLED_NEVER, settlement } from "./remedies.js";
import { isRedrawn, redrawsOf } from "./redrawn.js";
import { go, notice } from "../shell.js";
import { appended, at as address, edit, putFile, state } from "../store.js";
import { get, getText, Refusal } from "../wire.js";

export function findingItem(finding, { open, data, choose, settle }) {
  const { number, level, message, remedy, consequences } = finding;
  const where = finding.piece || [finding.face, finding.hardware].filter(Boolean).join(", ");
  return h("li", { class: `finding ${level}`, id: `finding-${number}` },
    h("button", { type: "button", class: "finding-head", data_key: `finding-${number}`, aria_expanded: String(open), onclick: choose },
      h("span", { class: "level" }, `${levelSaid(level)} ${number}`), h("span", { class: "what" }, headOf(finding)),
      where && h("span", { class: "hint" }, where)),
    open && h("div", { class: "finding-body" }, h("p", {}, message), h("p", { class: "remedy" }, remedy),
      consequences.length > 0 && h("details", {}, h("summary", {}, `What comes of it: ${consequences.length}`),
        h("ul", {}, consequences.map((each) => h("li", {}, each.message)))),
      h("div", { class: "chips" }, remedyButtons(finding, data),
        !SETTLED_NEVER.has(finding.code) && h("button", { type: "button", data_key: `settle-${number}`, onclick: settle },
          icon("tick"), "It is meant to be so …"))));
}

export function remedyButtons(finding, data) {
  const { table, tape } = state.definition;
  const found = remediesOf(finding, { table, tape, face: data?.name === finding.face ? data : null, pointerOf });
  if (isRedrawn(finding) && data?.name === finding.face) {
    const art = artOf(data);
    if (art) found.unshift(...redrawsOf(finding, data, art, table, state.survey.palette, tape));
  }
  return found.map((each, at) => h("button", { type: "button", class: (each.patch || each.change) && at === 0 ? "main" : null,
    data_key: `remedy-${finding.number}-${at}`, onclick: () => (each.patch ? edit(each.says, each.patch)
      : each.change ? redraw(each) : go(state.name, ...each.go)) },
  each.words));
}

/* The art of a face, once it has come; whoever lists findings is told of it as of a survey. */
let known = { key: null, art: null };
function artOf(data) {
  const key = `${state.name} ${data.name} ${data.key}`;
  if (known.key === key) return known.art;
  known = { key, art: null };
  get(address(`faces/${encodeURIComponent(data.name)}/art`)).then(({ art }) => {
    if (known.key !== key) return;
    known.art = art;
    document.dispatchEvent(new CustomEvent("art-known"));
  }, (fault) => {
    if (!(fault instanceof Refusal)) throw fault;
  });
  return null;
}
async function redraw({ drawing, says, change }) {
  const path = encodeURIComponent(drawing), before = state.files?.find?.((each) => each.path === drawing);
  const text = await getText(address(`file?path=${path}`)), changed = change(text);
  if (!changed || !before) return notice("bad", `It can't be told which part of ${drawing} that is. Draw it otherwise by hand.`);
  putFile(drawing, changed, before.version, says);
}

/* The JSON pointer of what a message calls a place ("Painting, can_size_ml"); null where none fits. */
export function pointerOf(words) {
  const wanted = words.toLowerCase();
  const walk = (value, pointer) => {
    if (pointer && place(pointer).toLowerCase() === wanted) return pointer;
    if (typeof value !== "object" || value === null) return null;
    for (const [key, inner] of Object.entries(value)) {
      const found = walk(inner, `${pointer}/${key.replaceAll("~", "~0").replaceAll("/", "~1")}`);
      if (found) return found;
    }
    return null;
  };
  return walk(state.definition.table, "");
}

export async function settleWithReason(finding, findings, tape) {
  const made = await settleDialog(finding, findings, tape);
  if (made) edit(`Settle a finding: ${made.because}`, (table) => [appended(table, "settled", made)]);
  return Boolean(made);
}
/* The entry of [[settled]], or null. */
function settleDialog(finding, findings, tape) {
  return new Promise((done) => {
    const reason = h("textarea", { id: "because", rows: "3", required: true, aria_describedby: "because-help because-fault" });
    const fault = h("p", { class: "fault", id: "because-fault", hidden: true }, "Say why first.");
    const dialog = h("dialog", { aria_labelledby: "settle-title" }, h("form", { novalidate: true, onsubmit: (event) => {
      event.preventDefault(); // the dialog is taken away here, so there is nothing left to send
      const because = reason.value.trim().replace(/\s+/g, " ");
      if (!because) {
        fault.hidden = false;
        return reason.focus();
      }
      finish(settlement(finding, findings, because, tape));
    } }, h("h2", { id: "settle-title" }, "It is meant to be so"), h("p", {}, finding.message),
    h("div", { class: "field" }, h("label", { for: "because" }, "Because"), reason,
      h("p", { class: "help", id: "because-help" }, "It is told apart then, with this reason, and counts no more."), fault),
    h("div", { class: "foot" }, h("button", { type: "button", onclick: () => finish(null) }, "Not now"),
      h("button", { type: "submit", class: "main" }, "Settle it"))));
    let over = false;
    function finish(entry) {
      if (over) return;
      over = true;
      dialog.close();
      dialog.remove();
      done(entry);
    }
    dialog.addEventListener("close", () => finish(null));
    document.body.append(dialog);
    dialog.showModal();
    reason.focus();
  });
}
