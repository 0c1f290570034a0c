"use strict";
/* The book's behaviour: the passes, the finder, the marks, and the cabinet that one turns.
   All texts and drawings are in the page already; without this script it is still a book.    */
(function () {
  const book = JSON.parse(document.getElementById("book").textContent);
  const by = (selector, within = document) => [...within.querySelectorAll(selector)];
  const one = (id) => document.getElementById(id);
  const drawings = new Map(by("svg[data-face]").map((svg) => [svg.dataset.face, svg]));
  // By where they lie: a set that is turned over lies on two faces, under one name.
  const pieces = new Map(by(".piece").map((path) => [path.id, path]));
  const named = new Map();
  for (const path of pieces.values()) {
    const { piece } = path.dataset;
    named.set(piece, [...(named.get(piece) || []), path]);
  }
  const finished = book.steps.length - 1;
  let step = finished, painter = null, skins = {};

  function say(words) {
    one("live").textContent = words;
  }
  function mixed(paint, other, share) {
    const channel = (at) => {
      const [a, b] = [paint, other].map((colour) => parseInt(colour.slice(at, at + 2), 16));
      return Math.round(a + (b - a) * share).toString(16).padStart(2, "0");
    };
    return `#${channel(1)}${channel(3)}${channel(5)}`;
  }
  const last = (piece) => piece.slice(piece.lastIndexOf(" ") + 1);
  const shortened = (piece, face) => {
    const path = (named.get(piece) || []).find((each) => faceOf(each) === face);
    return (path && path.dataset.short) || last(piece);
  };

  /* ---- passes ---- */

  const faceOf = (path) => path.closest("svg").dataset.face;
  /* "wet", "done" (open to see), "under" (done, board over it), "waiting" (board, not yet), or
     "coated" (base coat, and the set that is laid here lies on the other side still). */
  function stateOf(face, piece, colour, at) {
    const now = book.steps[at];
    if (!now || now.kind === "finished") return "done";
    if (now.kind === "base") return "wet";
    if (book.rounds[face] > now.round) return "coated";
    if (book.rounds[face] < now.round) return "done";
    if (book.steps.slice(0, at).some((before) => before.last.includes(face))) return "done";
    if ((now.off[face] || []).includes(piece)) return "wet";
    if (colour === book.base) return "under";
    const painted = (before) => (before.off[face] || []).includes(piece);
    return book.steps.slice(0, at).some(painted) ? "under" : "waiting";
  }
  function paintOf(state, colour) {
    const paint = book.paints[colour];
    const now = book.steps[step];
    if (state === "coated" || (now && now.kind === "base")) return book.paints[book.base];
    if (state === "waiting") return book.board;
    return state === "under" ? mixed(paint, book.board, 0.72) : paint;
  }
  function overlay(svg, kind, path) {
    const use = document.createElementNS("http://www.w3.org/2000/svg", "use");
    use.setAttribute("href", `#${path.id}`);
    use.setAttribute("class", kind);
    svg.querySelector(".over").append(use);
  }
  function doing(face) {
    const now = book.steps[step];
    if (!now) return "";
    if (now.kind === "finished") return "Done.";
    if (now.kind === "base") return "Spray the whole face; no board yet.";
    const states = [...pieces.values()]
      .filter((path) => faceOf(path) === face)
      .map((path) => path.dataset.state);
    if (states.includes("coated")) return "Base coat only; its board lies on the other side first.";
    if (!states.includes("under") && !states.includes("waiting") && !states.includes("wet"))
      return "Done; no board on it.";
    const off = (now.off[face] || []).map((piece) => shortened(piece, face));
    if (!off.length) return "Nothing comes off; all its board stays.";
    return `Off and wet: ${off.join(", ")}. Stays: ${states.length - off.length}.`;
  }
  function setStep(at) {
    step = Math.max(0, Math.min(finished, at));
    by(".over .wet").forEach((use) => use.remove());
    for (const path of pieces.values()) {
      const svg = path.closest("svg"), { piece, colour } = path.dataset;
      const state = stateOf(svg.dataset.face, piece, colour, step);
      path.dataset.state = state;
      path.style.fill = paintOf(state, colour);
      if (state === "wet" && book.steps[step].kind === "colour") overlay(svg, "wet", path);
    }
    for (const label of by("[data-label]")) {
      const path = pieces.get(label.dataset.label);
      label.style.fill = inkOn(path.style.fill);
    }
    for (const line of by("[data-doing]")) {
      line.textContent = doing(line.dataset.doing);
      if (book.steps.length) line.dataset.step = book.steps[step].title; // for paper
    }
    if (one("step")) {
      const now = book.steps[step];
      one("step").value = step;
      one("step").setAttribute("aria-valuetext", now.title);
      one("step-title").textContent = now.title;
      document.documentElement.dataset.pass = now.kind;
      one("step-back").disabled = step === 0;
      one("step-next").disabled = step === finished;
    }
    reskin();
  }
  /* Black or white, by relative luminance as in WCAG 2.1. */
  function inkOn(fill) {
    const light = fill.match(/\d+/g).slice(0, 3).map((value) => {
      const share = value / 255;
      return share <= 0.03928 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2] > 0.179 ? "#000" : "#fff";
  }
  if (one("step")) {
    one("step").addEventListener("input", () => setStep(Number(one("step").value)));
    for (const [id, by] of [["step-back", -1], ["step-next", 1]])
      one(id).addEventListener("click", () => {
        setStep(step + by);
        say(book.steps[step].title);
      });
  }

  /* ---- finding a place ---- */

  function choose(target, words) {
    by(".over .chosen").forEach((use) => use.remove());
    by(".mark.chosen").forEach((mark) => mark.classList.remove("chosen"));
    if (target.matches(".piece")) overlay(target.closest("svg"), "chosen", target);
    else target.classList.add("chosen");
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const article = target.closest("article");
    const line = chosenLine(words);
    article.querySelector(".doing").insertAdjacentElement("afterend", line);
    const sheet = target.closest(".sheet"), [spot, frame] = [target, sheet].map((each) =>
      each.getBoundingClientRect());
    sheet.scrollBy(spot.x + spot.width / 2 - frame.x - frame.width / 2,
      spot.y + spot.height / 2 - frame.y - frame.height / 2); // where it is enlarged
    line.scrollIntoView({ behavior: still ? "auto" : "smooth", block: "start" });
    one("find-said").textContent = "";
    say(words);
  }
  function chosenLine(words) {
    const line = one("chosen") || document.createElement("p");
    line.id = "chosen";
    line.textContent = words;
    return line;
  }
  function called(path) {
    const { piece } = path.dataset, face = faceOf(path);
    return piece.startsWith(`${face} `) ? piece : `${piece}, turned over on ${face}`;
  }
  function describe(path) {
    const { colour } = path.dataset, about = book.pieces[path.id];
    const tacks = `${about.tacks} tape tack${about.tacks === 1 ? "" : "s"}`;
    const when = about.pass ? `, pass ${about.pass}` : colour === book.base ? ", base coat" : "";
    return `${called(path)}: ${colour}, ${about.area}, ${tacks}${when}.`;
  }
  /* A whole id, or letter and number alone: then each search goes on to the next face. */
  let turn = 0, fresh = false;
  function showPiece(name) {
    const wanted = name.trim().toLowerCase(), all = [...pieces.values()];
    const whole = all.filter((path) => path.dataset.piece.toLowerCase() === wanted);
    const found = whole.length ? whole
      : all.filter((path) => last(path.dataset.piece).toLowerCase() === wanted);
    if (!found.length) {
      one("find-said").textContent = wanted ? `There is no piece ${name.trim()}.` : "";
      return;
    }
    const at = turn % found.length;
    turn += 1;
    choose(found[at], describe(found[at]));
    if (found.length > 1)
      one("find-said").textContent =
        `${at + 1} of ${found.length}: ${called(found[at])}. Find again for the next.`;
  }
  one("finder").addEventListener("submit", (event) => {
    event.preventDefault();
    if (fresh) fresh = false; // it is shown already, as its name was whole
    else showPiece(one("find").value);
  });
  one("find").addEventListener("input", () => {
    turn = 0;
    fresh = named.has(one("find").value);
    if (fresh) showPiece(one("find").value);
  });
  /* ---- boxes to tick ---- */

  /* Kept by their words, so that what a new build says otherwise is not ticked. */
  const kept = (box) => `mateline: ${document.title}: ${box.dataset.tick}`;
  const store = (() => {
    try {
      return localStorage;
    } catch {
      return null; // a browser may refuse it to a file: boxes are then kept until it is closed
    }
  })();
  for (const box of by("[data-tick]")) {
    box.checked = Boolean(store && store.getItem(kept(box)));
    box.addEventListener("change", () => {
      if (!store) return;
      if (box.checked) store.setItem(kept(box), "1");
      else store.removeItem(kept(box));
    });
  }
  for (const button of by(".enlarge"))
    button.addEventListener("click", () => {
      const large = button.closest("figure").classList.toggle("enlarged");
      button.setAttribute("aria-pressed", large);
    });
  // Paper shows what a click would.
  let closed = [];
  addEventListener("beforeprint", () => {
    closed = by("#cautions details:not([open])");
    closed.forEach((each) => { each.open = true; });
  });
  addEventListener("afterprint", () => closed.forEach((each) => { each.open = false; }));
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[href^='#piece-'], a[data-show]");
    const mark = event.target.closest(".mark");
    const path = event.target.closest(".piece");
    if (link) {
      event.preventDefault();
      const target = one(link.getAttribute("href").slice(1));
      const count = link.dataset.show;
      choose(target, count ? `Finding ${count}: ${book.findings[count]}` : describe(target));
      target.closest("article").focus({ preventScroll: true });
    } else if (mark) {
      const entry = one(`finding-${mark.dataset.finding}`);
      entry.scrollIntoView({ block: "center" });
      entry.focus({ preventScroll: true });
    } else if (path) choose(path, describe(path));
  });

  /* ---- the cabinet ---- */

  const HIGHEST = 1024; // px: the longer side of a face's texture
  function skinFor(svg) {
    const [width, height] = [svg.dataset.width, svg.dataset.height].map(Number);
    const scale = HIGHEST / Math.max(width, height);
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(width * scale));
    canvas.height = Math.max(1, Math.round(height * scale));
    const shapes = by(".pieces path, .hardware path", svg).map((path) => ({
      path,
      outline: new Path2D(path.getAttribute("d")),
    }));
    return { canvas, width, height, shapes, brush: canvas.getContext("2d") };
  }
  function paintSkin({ canvas, width, height, shapes, brush }) {
    brush.setTransform(canvas.width / width, 0, 0, canvas.height / height, 0, 0);
    brush.lineWidth = (1.2 * width) / canvas.width; // neighbours lap, or a seam shows between them
    for (const { path, outline } of shapes) {
      const fixed = { clear: "#e3e6e9", stays: "#8d949c", open: "#1b1d20" }[path.classList[0]];
      brush.fillStyle = brush.strokeStyle = fixed || path.style.fill;
      brush.fill(outline, "evenodd");
      brush.stroke(outline);
    }
  }
  function reskin() {
    if (!painter) return;
    Object.values(skins).forEach(paintSkin);
    painter.reskin();
  }
  function pieceAt({ face, x, y }) {
    const { shapes, height, brush } = skins[face];
    brush.setTransform(1, 0, 0, 1, 0, 0);
    const hit = shapes.find(({ path, outline }) =>
      path.matches(".piece") && brush.isPointInPath(outline, x, height - y, "evenodd"));
    return hit && hit.path;
  }
  function startPainter() {
    const canvas = one("cabinet-3d");
    for (const [face, svg] of drawings) skins[face] = skinFor(svg);
    Object.values(skins).forEach(paintSkin);
    canvas.hidden = false;
    painter = cabinetPainter(canvas, book.scene, skins);
    if (!painter) {
      canvas.hidden = true;
      return;
    }
    one("cabinet").classList.add("turning");
    one("cabinet-buttons").hidden = one("cabinet-keys").hidden = false;
    canvas.addEventListener("webglcontextlost", () => {
      painter = null;
      canvas.hidden = true;
      one("cabinet").classList.remove("turning");
    });
    new ResizeObserver(painter.redraw).observe(canvas);
    listen(canvas);
  }
  function pressed(key) {
    const change = {
      ArrowLeft: { turn: -10 }, ArrowRight: { turn: 10 }, ArrowUp: { tilt: 10 },
      ArrowDown: { tilt: -10 }, "+": { zoom: 1.2 }, "=": { zoom: 1.2 }, "-": { zoom: 1 / 1.2 },
    }[key];
    if (change) painter.look(change);
    else if (key === "0") painter.start();
    return Boolean(change) || key === "0";
  }
  function listen(canvas) {
    const fingers = new Map();
    let moved = 0;
    canvas.addEventListener("keydown", (event) => {
      if (!event.ctrlKey && !event.metaKey && pressed(event.key)) event.preventDefault();
    });
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      fingers.set(event.pointerId, [event.clientX, event.clientY]);
      moved = 0;
    });
    canvas.addEventListener("pointermove", (event) => {
      const before = fingers.get(event.pointerId), here = [event.clientX, event.clientY];
      if (!before) return hint(event);
      const others = [...fingers.entries()].filter(([id]) => id !== event.pointerId);
      const [dx, dy] = [here[0] - before[0], here[1] - before[1]];
      moved += Math.hypot(dx, dy);
      fingers.set(event.pointerId, here);
      if (others.length) {
        const apart = (place) => Math.hypot(place[0] - others[0][1][0], place[1] - others[0][1][1]);
        painter.look({ zoom: apart(here) / Math.max(apart(before), 1) });
      } else painter.look({ turn: -0.4 * dx, tilt: 0.4 * dy });
    });
    const lifted = (event) => fingers.delete(event.pointerId);
    canvas.addEventListener("pointerup", (event) => {
      lifted(event);
      if (moved < 6) clicked(event);
    });
    canvas.addEventListener("pointercancel", lifted);
    canvas.addEventListener("wheel", (event) => {
      if (document.activeElement !== canvas) return; // the page scrolls on
      event.preventDefault();
      painter.look({ zoom: Math.exp(-event.deltaY / 500) });
    }, { passive: false });
    for (const button of by("#cabinet-buttons button"))
      button.addEventListener("click", () => {
        const { key, azimuth, elevation } = button.dataset;
        if (key) pressed(key);
        else painter.look({ to: { azimuth: Number(azimuth), elevation: Number(elevation) } });
      });
  }
  function hint(event) {
    const hit = painter.picked(event.offsetX, event.offsetY), path = hit && pieceAt(hit);
    one("cabinet-hint").textContent = path ? called(path) : hit ? hit.face : "";
  }
  function clicked(event) {
    const hit = painter.picked(event.offsetX, event.offsetY);
    if (!hit) return;
    const path = pieceAt(hit), article = one(`face-${hit.face}`);
    if (path) choose(path, describe(path));
    else article.scrollIntoView();
    article.focus({ preventScroll: true });
  }
  document.documentElement.classList.add("lively");
  setStep(finished);
  startPainter();
})();
