/* The build: all files from the definition, with its progress, a stop, and what it has written.       */
import { fill, h } from "../dom.js";
import { icon } from "../icons.js";
import { at as address, state, tell } from "../store.js";
import { exported, get, post, Refusal } from "../wire.js";

const WHAT = { build: "The build", check: "The check", square: "Squaring the photos", trace: "The tracing" };
// What each file is for, by its name; what is not here is listed under "All files".
const FIRST = [["job-book.html", "Job book", "text"], ["job-book.pdf", "Job book for the wall", "text"], ["cabinet.svg", "Picture of the cabinet", "photo"],
  ["painting-days.txt", "Painting days", "paint"], ["painting-days.ics", "Painting days for a calendar", "paint"],
  ["model.step", "Model for CAD", "boards"], ["model.glb", "Model for a 3D viewer", "boards"], ["findings.json", "Findings as data", "search"]];
const OF_FACE = [["stencil.pdf", "Stencil, true size"], ["stencil.dxf", "for a cutter"], ["stencil.svg", "as a drawing"], ["hand-cutting.pdf", "for a knife"],
  ["laying.svg", "Laying"], ["picture.svg", "Picture"]];

export default { title: "Build", icon: "build", show(host) {
  let built = undefined, book = false, gone = false, asked = 0;
  const doing = h("section", { class: "panel whole", aria_labelledby: "doing" }), files = h("section", { class: "panel whole" });
  const reader = h("section", { class: "panel whole", hidden: true }), heard = h("p", { class: "unseen", role: "status" });
  const page = h("div", { class: "page" }, h("div", { class: "beside-book" }, doing, files), reader, heard);
  fill(host, page);
  const link = (path) => exported(state.name, path.split("/").map(encodeURIComponent).join("/"));

  async function run(what) {
    try {
      await post(address("run"), { what });
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      state.refused = { says: what, what: fault.what, remedy: fault.remedy };
      tell("refused");
    }
  }
  function drawDoing() {
    const { run: now, survey } = state, at = ["running", "stopping"].includes(now?.state);
    const counts = (level) => survey.findings.filter((each) => each.level === level).length;
    const stops = counts("stop"), faults = state.definition.faults.length + survey.faults.length;
    const lines = [];
    if (at) {
      lines.push(h("p", {}, h("span", { class: "busy" }), `${WHAT[now.what]}: ${now.state === "stopping" ? "stopping" : now.stage}`,
        now.of ? h("span", { class: "hint" }, ` (${now.number} of ${now.of})`) : null),
      h("progress", { max: "1", value: now.share ?? null, aria_label: WHAT[now.what] }));
    } else if (now) lines.push(ended(now));
    fill(doing, h("h2", { id: "doing" }, "Build"),
      faults ? h("p", { class: "fault" }, "The definition can't be used yet, so nothing can be built. ", h("a", { href: `#/${encodeURIComponent(state.name)}/look` }, "What is wrong"))
        : stops ? h("p", {}, h("span", { class: "tag stop-tag" }, `${stops} ${stops === 1 ? "stop" : "stops"}`), " Mend them before you cut. ",
          h("a", { href: `#/${encodeURIComponent(state.name)}/look` }, "Look at them"))
          : h("p", { class: "hint" }, survey.counted || "All files for cutting, laying and painting."),
      lines, h("div", { class: "chips" },
        h("button", { type: "button", class: "main big", data_key: "run-build", disabled: at || null, onclick: () => run("build") }, icon("build"), "Build"),
        h("button", { type: "button", class: "big", data_key: "stop-run", disabled: !at || now.state === "stopping" || null,
          onclick: () => post(address("run/stop")) }, icon("close"), "Stop")));
  }
  function ended(now) {
    const { state: how, what, answer, message } = now;
    if (how === "done" && what === "build") {
      return h("div", { class: "notice good" }, h("p", {}, `Built: ${answer.pieces} pieces on ${answer.faces} faces.`,
        answer.stops ? ` ${answer.stops} ${answer.stops === 1 ? "finding says" : "findings say"} stop: mend before you cut.` : ""));
    }
    if (how === "done") return h("div", { class: "notice good" }, h("p", {}, `${WHAT[what]} is done.`));
    if (how === "stopped") return h("div", { class: "notice plain" }, h("p", {}, `${WHAT[what]} was stopped. What was built before is as it was.`));
    return h("div", { class: "notice bad" }, h("p", {}, message));
  }
  async function load() {
    const turn = (asked += 1);
    let found = null;
    try {
      const { cabinets } = await get("/cabinets");
      if (cabinets.find((each) => each.name === state.name)?.built) found = await get(link("job.json"));
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
    }
    if (turn !== asked || gone) return;
    built = found;
    drawFiles();
  }
  function drawFiles() {
    if (built === undefined) return fill(files);
    if (!built) {
      files.hidden = true;
      return;
    }
    files.hidden = false;
    const all = new Set([...built.files, "job.json"]);
    const open = (path, words, sign) => h("a", { class: "button", href: link(path), target: "_blank", rel: "noopener", data_key: `file-${path}` }, sign && icon(sign), words);
    const faces = [...new Set(built.files.filter((each) => each.startsWith("faces/")).map((each) => each.split("/")[1]))];
    fill(files, h("h2", {}, "What was built"),
      h("div", { class: "chips" }, h("button", { type: "button", class: "main", data_key: "beside", aria_pressed: String(book), onclick: () => {
        book = !book;
        drawFiles();
        drawBook();
        if (book) reader.scrollIntoView({ block: "nearest" });
      } }, icon("text"), book ? "Close the job book" : "Open the job book here"),
      FIRST.filter(([path]) => all.has(path)).map(([path, words, sign]) => open(path, words, sign))),
      h("h3", {}, "Faces"),
      h("div", { class: "table", tabindex: "0", role: "region", aria_label: "Files of the faces" }, h("table", {}, h("tbody", {}, faces.map((face) => h("tr", {}, h("th", { scope: "row" }, face),
        h("td", {}, h("div", { class: "chips" }, OF_FACE.filter(([name]) => all.has(`faces/${face}/${name}`))
          .map(([name, words]) => open(`faces/${face}/${name}`, words))))))))),
      h("details", {}, h("summary", { data_key: "all-files" }, `All ${all.size} files`), h("ul", {}, [...all].map((path) => h("li", {},
        h("a", { href: link(path), target: "_blank", rel: "noopener" }, path))))));
  }
  function drawBook() {
    reader.hidden = !book;
    page.classList.toggle("reading", book);
    fill(reader, book && h("iframe", { class: "book", title: "Job book", src: link("job-book.html") }));
  }
  drawDoing();
  load();
  return {
    update(changed) {
      if (changed.has("run")) {
        const { state: how, stage } = state.run;
        if (how === "done") load().then(drawBook);
        heard.textContent = how === "running" ? stage : how === "done" ? "Done." : how;
      }
      if (changed.has("run") || changed.has("survey") || changed.has("definition")) drawDoing();
    },
    leave() { gone = true; },
  };
} };
