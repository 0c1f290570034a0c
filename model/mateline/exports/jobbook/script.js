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
  const labels = new Map(by("[data-label]").map((label) => [label.dataset.label, label]));
  const sheets = new Map([...drawings].map(([face, svg]) =>
    [face, drawingZoom(svg.closest(".sheet"), svg)]));
  const finished = book.steps.length - 1;
  let step = finished, painter = null, skins = {};
  /* A browser may refuse it to a file: then what is kept is kept until the book is closed. */
  const store = (() => {
    try {
      return localStorage;
    } catch {
      return null;
    }
  })();

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

  const home = new Map([...pieces.values()].map((path) => [path, path.closest("svg")]));
  const faceOf = (path) => home.get(path).dataset.face;
  /* At which step each piece is off, by face, and by which step a face is done for good. */
  const off = book.steps.map((now) =>
    new Map(Object.entries(now.off || {}).map(([face, names_]) => [face, new Set(names_)])));
  const isOff = (at, face, piece) => off[at].has(face) && off[at].get(face).has(piece);
  const firstOff = new Map(), doneAfter = new Map();
  book.steps.forEach((now, at) => {
    for (const [face, names_] of off[at])
      for (const piece of names_)
        if (!firstOff.has(`${face}: ${piece}`)) firstOff.set(`${face}: ${piece}`, at);
    for (const face of now.last || []) if (!doneAfter.has(face)) doneAfter.set(face, at);
  });
  /* "wet", "done" (open to see), "under" (done, board over it), "waiting" (board, not yet), or
     "coated" (base coat, and the set that is laid here lies on the other side still). */
  function stateOf(face, piece, colour, at) {
    const now = book.steps[at];
    if (!now || now.kind === "finished") return "done";
    if (now.kind === "base") return "wet";
    if (book.rounds[face] > now.round) return "coated";
    if (book.rounds[face] < now.round) return "done";
    if (doneAfter.get(face) < at) return "done";
    if (isOff(at, face, piece)) return "wet";
    if (colour === book.base) return "under";
    return firstOff.get(`${face}: ${piece}`) < at ? "under" : "waiting";
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
    return use;
  }
  function doing(face, states) {
    const now = book.steps[step];
    if (!now) return "";
    if (now.kind === "finished") return "Done.";
    if (now.kind === "base") return "Spray the whole face; no board yet.";
    if (states.includes("coated")) return "Base coat only; its board lies on the other side first.";
    if (!states.includes("under") && !states.includes("waiting") && !states.includes("wet"))
      return "Done; no board on it.";
    const off = (now.off[face] || []).map((piece) => shortened(piece, face));
    if (!off.length) return "Nothing comes off; all its board stays.";
    return `Off and wet: ${off.join(", ")}. Stays: ${states.length - off.length}.`;
  }
  /* Only what changes is touched: a quilt has thousands of pieces. */
  const shown = new Map(), inks = new Map();
  function setStep(at) {
    step = Math.max(0, Math.min(finished, at));
    const changed = new Set(), states = new Map([...drawings.keys()].map((face) => [face, []]));
    const wet = book.steps[step] && book.steps[step].kind === "colour";
    for (const [path, svg] of home) {
      const { face } = svg.dataset, { piece, colour } = path.dataset;
      const state = stateOf(face, piece, colour, step), fill = paintOf(state, colour);
      const before = shown.get(path) || {}, now = { state, fill, over: before.over };
      states.get(face).push(state);
      if (before.state !== state) path.dataset.state = state;
      if (before.fill !== fill) {
        path.style.fill = fill;
        changed.add(face);
        if (labels.has(path.id)) labels.get(path.id).style.fill = inkOn(fill);
      }
      if (now.over && !(wet && state === "wet")) now.over = now.over.remove();
      else if (!now.over && wet && state === "wet") now.over = overlay(svg, "wet", path);
      shown.set(path, now);
    }
    for (const line of by("[data-doing]")) {
      line.textContent = doing(line.dataset.doing, states.get(line.dataset.doing));
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
    reskin(changed);
  }
  /* The pass is kept by its title, so that it is not another one in a new build. */
  const keptPass = `mateline: ${document.title}: pass`;
  function turnTo(at) {
    setStep(at);
    if (store) store.setItem(keptPass, book.steps[step].title);
  }
  function passBefore() {
    const title = store && store.getItem(keptPass);
    const at = book.steps.findIndex((each) => each.title === title);
    return at < 0 ? finished : at;
  }
  /* Black or white, by relative luminance as in WCAG 2.1. */
  function inkOn(fill) {
    if (!inks.has(fill)) inks.set(fill, measuredInk(fill));
    return inks.get(fill);
  }
  function measuredInk(fill) {
    const light = [1, 3, 5].map((at) => {
      const share = parseInt(fill.slice(at, at + 2), 16) / 255;
      return share <= 0.03928 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2] > 0.179 ? "#000" : "#fff";
  }
  if (one("step")) {
    one("step").addEventListener("input", () => turnTo(Number(one("step").value)));
    for (const [id, by] of [["step-back", -1], ["step-next", 1]])
      one(id).addEventListener("click", () => {
        turnTo(step + by);
        say(book.steps[step].title);
      });
  }

  /* ---- finding a place ---- */

  /* `count` is the number of the finding that is shown, if it is one. */
  function choose(target, words, count) {
    by(".over .chosen").forEach((use) => use.remove());
    by(".mark.chosen").forEach((mark) => mark.classList.remove("chosen"));
    if (target.matches(".piece")) overlay(target.closest("svg"), "chosen", target);
    else target.classList.add("chosen");
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const article = target.closest("article");
    const line = chosenLine(words, count);
    article.querySelector(".doing").insertAdjacentElement("afterend", line);
    const label = labels.get(target.id);
    sheets.get(target.closest("svg").dataset.face)
      .reveal(target, label ? Number(label.getAttribute("font-size")) : 0);
    line.scrollIntoView({ behavior: still ? "auto" : "smooth", block: "start" });
    one("find-said").textContent = "";
    say(words);
  }
  /* What is shown, and for a finding what to do about it and the way back to the list. */
  function chosenLine(words, count) {
    const line = one("chosen") || document.createElement("p");
    line.id = "chosen";
    line.textContent = words;
    if (count) {
      const [remedy, back] = ["span", "a"].map((name) => document.createElement(name));
      remedy.append(Object.assign(document.createElement("strong"), { textContent: "Remedy: " }),
        book.findings[count][1]);
      back.href = `#finding-${count}`;
      back.className = "back";
      back.textContent = `Back to finding ${count}`;
      line.append(remedy, back);
    }
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
  for (const box of by("[data-tick]")) {
    box.checked = Boolean(store && store.getItem(kept(box)));
    box.addEventListener("change", () => {
      if (!store) return;
      if (box.checked) store.setItem(kept(box), "1");
      else store.removeItem(kept(box));
    });
  }
  for (const button of by("[data-zoom]:not(.sheet)"))
    button.addEventListener("click", () => {
      const { face } = button.closest("article").querySelector("svg[data-face]").dataset;
      sheets.get(face).pressed(button.dataset.zoom);
    });
  for (const button of by(".enlarge"))
    button.addEventListener("click", () => {
      const large = button.closest("figure").classList.toggle("enlarged");
      button.setAttribute("aria-pressed", large);
    });
  /* Lists of pieces are made where somebody unfolds them, and go when they are folded. */
  for (const details of by("details.later")) {
    const list = details.querySelector("noscript").textContent;
    details.addEventListener("toggle", () => {
      if (details.open === Boolean(details.querySelector(".wide"))) return;
      if (details.open) details.insertAdjacentHTML("beforeend", list);
      else details.querySelector(".wide").remove();
    });
  }
  // Paper shows what a click would.
  let closed = [];
  addEventListener("beforeprint", () => {
    closed = by("#cautions details:not([open])");
    closed.forEach((each) => { each.open = true; });
  });
  addEventListener("afterprint", () => closed.forEach((each) => { each.open = false; }));
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[href^='#piece-'], a[data-show]");
    const back = event.target.closest("a.back");
    const mark = event.target.closest(".mark");
    const path = event.target.closest(".piece");
    if (link) {
      event.preventDefault();
      const target = one(link.getAttribute("href").slice(1));
      const count = link.dataset.show;
      const words = count ? `Finding ${count}: ${book.findings[count][0]}` : describe(target);
      choose(target, words, count);
      target.closest("article").focus({ preventScroll: true });
    } else if (mark || back) {
      event.preventDefault();
      const entry = mark ? one(`finding-${mark.dataset.finding}`) : one(back.hash.slice(1));
      entry.scrollIntoView({ block: "center" });
      entry.focus({ preventScroll: true });
    } else if (path) choose(path, describe(path));
  });

  /* ---- the cabinet ---- */

  const HIGHEST = innerWidth < 640 ? 512 : 1024; // px: the longer side of a face's texture
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
    const px = width / canvas.width;
    for (const { path, outline } of shapes) {
      const fixed = { clear: "#e3e6e9", stays: "#8d949c", open: "#1b1d20" }[path.classList[0]];
      const dark = ["stays", "open"].includes(path.classList[0]); // shown by a light rim
      brush.fillStyle = fixed || path.style.fill;
      brush.strokeStyle = dark ? "#fff" : brush.fillStyle;
      brush.lineWidth = (dark ? 2 : 1.2) * px; // neighbours lap, or a seam shows between them
      brush.fill(outline, "evenodd");
      brush.stroke(outline);
    }
  }
  /* The cabinet follows a pass when it is in sight, or else when the browser has nothing to do. */
  const idly = window.requestIdleCallback || ((work) => setTimeout(work, 50));
  const stale = new Set();
  let seen = false, queued = false;
  function reskin(faces) {
    faces.forEach((face) => stale.add(face));
    if (!painter || queued) return;
    queued = true;
    if (seen) requestAnimationFrame(repaint);
    else idly(repaint);
  }
  function repaint() {
    queued = false;
    if (!painter) return;
    const faces = [...stale].filter((face) => skins[face]);
    stale.clear();
    faces.forEach((face) => paintSkin(skins[face]));
    one("cabinet-3d").dataset.step = step;
    painter.reskin(new Set(faces.map((face) => skins[face])));
  }
  function pieceAt({ face, x, y }) {
    const { shapes, height, brush } = skins[face];
    brush.setTransform(1, 0, 0, 1, 0, 0);
    const hit = shapes.find(({ path, outline }) =>
      path.matches(".piece") && brush.isPointInPath(outline, x, height - y, "evenodd"));
    return hit && hit.path;
  }
  /* One face after the other, so that the page answers in between; at once when it is in sight. */
  function prepare() {
    if (painter || painter === undefined) return;
    if (many && !seen) { // one went on before it was made
      skins = {};
      return;
    }
    const next = [...drawings].find(([face]) => !skins[face]);
    if (!next) startPainter();
    else {
      skins[next[0]] = skinFor(next[1]);
      paintSkin(skins[next[0]]);
      if (seen) setTimeout(prepare);
      else idly(prepare);
    }
  }
  const many = pieces.size > 600; // then it is made only when one comes to it
  new IntersectionObserver(([entry]) => {
    seen = entry.isIntersecting;
    if (seen && many && !Object.keys(skins).length) prepare();
    if (!seen && many && painter) putAway();
    if (seen && stale.size) reskin([]);
  }).observe(one("cabinet-title").parentElement);
  /* What the cabinet takes is given back until one comes to it again, on a canvas of its own. */
  let view = null, listening = false;
  function putAway() {
    const canvas = one("cabinet-3d");
    if (document.activeElement === canvas) return; // who is on it by keys stays on it
    view = painter.view();
    painter.done();
    painter = null;
    for (const { canvas } of Object.values(skins)) canvas.width = canvas.height = 0;
    skins = {};
    const fresh = canvas.cloneNode();
    delete fresh.dataset.drawn;
    canvas.replaceWith(fresh);
    const card = canvas.getContext("webgl2").getExtension("WEBGL_lose_context");
    if (card) card.loseContext();
  }
  function startPainter() {
    const canvas = one("cabinet-3d");
    stale.clear();
    Object.values(skins).forEach(paintSkin);
    canvas.hidden = false;
    painter = cabinetPainter(canvas, book.scene, skins);
    if (!painter) {
      painter = undefined; // it can't be: the still picture stays
      canvas.hidden = true;
      return;
    }
    canvas.dataset.step = step;
    if (view) painter.look({ to: view });
    one("cabinet").classList.add("turning");
    one("cabinet-buttons").hidden = one("cabinet-keys").hidden = false;
    canvas.addEventListener("webglcontextlost", () => {
      if (canvas !== one("cabinet-3d")) return;
      painter = undefined;
      canvas.hidden = true;
      one("cabinet").classList.remove("turning");
    });
    new ResizeObserver(() => { if (painter) painter.redraw(); }).observe(canvas);
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
      if (painter && !event.ctrlKey && !event.metaKey && pressed(event.key)) event.preventDefault();
    });
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      fingers.set(event.pointerId, [event.clientX, event.clientY]);
      moved = 0;
    });
    canvas.addEventListener("pointermove", (event) => {
      const before = fingers.get(event.pointerId), here = [event.clientX, event.clientY];
      if (!painter) return undefined;
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
    if (listening) return;
    listening = true;
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
  setStep(passBefore());
  document.documentElement.classList.toggle("many", many);
  if (!many) idly(prepare);
})();
