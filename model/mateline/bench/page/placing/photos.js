/* Photos of what is left: each squared by the tape, and traced, or traced over by hand. */
import { h } from "../dom.js";
import { icon } from "../icons.js";
import { said } from "../said.js";
import { go, notice } from "../shell.js";
import { appended, at, edit, state } from "../store.js";
import { address, post, Refusal } from "../wire.js";
import { linesOf } from "../tracing/chooser.js";
import { added } from "./entries.js";

const squaredOf = (face) => `squared/${face}.png`;
const known = new Map(); // what the last squaring told, by face

const picture = (path) => h("img", { class: "photo", alt: path, loading: "lazy",
  src: address(`${at(`picture?path=${encodeURIComponent(path)}`)}&v=${state.files?.find((each) => each.path === path)?.version || ""}`) });
const there = (path) => state.files?.some((each) => each.path === path);

async function run(what, face) {
  try {
    await post(at("run"), face ? { what, face } : { what });
  } catch (fault) {
    if (!(fault instanceof Refusal)) throw fault;
    notice("bad", fault.message);
  }
}
/* Tracing writes the drawing that the face's art names: it is named first. */
async function trace(face) {
  const named = (state.definition.table.art || []).some((each) => each.on === face && each.drawing);
  if (!named) await edit(`Put the traced drawing on ${face}`, (table) => added(table, { drawing: `traced/${face}.svg`, on: face }));
  await run("trace", face);
}
export const addPhoto = (file, face) => edit(`Add a photo of ${face}`, (table) => [
  appended(table, "photo", { file, on: face })]);

export function photosPanel(choose) {
  const photos = state.definition.table.photo || [], tape = state.definition.tape, work = state.run;
  for (const each of work?.answer?.photos || []) known.set(`${state.name} ${each.face}`, each);
  const busy = work && ["running", "stopping"].includes(work.state);
  return h("section", { class: "panel" }, h("h2", {}, "Photos"),
    !photos.length && h("p", { class: "hint" }, "A photo of each painted side, square on, all of its outline in the picture. Drop it here, or choose a file above."),
    photos.map((photo, index) => {
      const told = known.get(`${state.name} ${photo.on}`), squared = there(squaredOf(photo.on));
      return h("article", { class: "photo-card" },
        h("div", { class: "photo-pair" }, picture(photo.file), squared && picture(squaredOf(photo.on))),
        h("h3", {}, `${photo.file}: ${photo.on}`),
        told && tape && h("p", { class: "hint" }, `Places may be off by ${said(told.expected_rms, tape)}; by ${said(told.expected_worst, tape)} at the worst.`),
        h("div", { class: "bar-of-tools" },
          h("button", { type: "button", data_key: `square-${index}`, class: squared ? null : "main", disabled: Boolean(busy), onclick: () => run("square") }, "Square"),
          h("button", { type: "button", data_key: `trace-${index}`, class: squared ? "main" : null, disabled: Boolean(busy), onclick: () => trace(photo.on) }, "Trace"),
          h("button", { type: "button", data_key: `hand-${index}`, onclick: () => go(state.name, "trace", photo.on, linesOf(photo.on)) }, icon("pen"), "By hand"),
          h("button", { type: "button", data_key: `face-of-${index}`, onclick: () => choose(photo.on) }, "Show the face"),
          h("button", { type: "button", class: "tool", aria_label: `Take ${photo.file} out`, title: `Take ${photo.file} out`, data_key: `photo-out-${index}`,
            onclick: () => edit(`Take the photo ${photo.file} out`, [{ op: "remove", path: `/photo/${index}` }]) }, icon("trash"))));
    }),
    work && ["square", "trace"].includes(work.what) && progress(work, busy));
}
function progress(work, busy) {
  const doing = { square: "Squaring", trace: "Tracing" }[work.what];
  if (busy) {
    return h("div", { class: "notice plain" }, h("p", { class: "busy" }, `${doing}: ${work.stage || "at work"}`),
      h("button", { type: "button", data_key: "run-stop", onclick: () => post(at("run/stop")) }, "Stop"));
  }
  if (work.state === "done") {
    const regions = work.answer?.regions;
    return h("p", { class: "hint" }, regions ? `Traced: ${regions} regions, ${Math.round((work.answer.guessed || 0) * 100)} % of the borders guessed.` : `${doing} is done.`);
  }
  return work.state === "stopped" ? null : h("div", { class: "notice bad" }, h("p", {}, work.message || (work.lines || []).join(" ") || `${doing} did not succeed.`));
}
