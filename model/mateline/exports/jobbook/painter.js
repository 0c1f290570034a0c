"use strict";
/* A painter of flat facets on WebGL 2: the boards of the cabinet, and on them the drawings of its
   faces as textures. Cabinet frame: X to the player's right, Y away, Z up, mm.

   scene    {wood, facets: [{face, kind, normal, at, on, paint, rim}]} as view3d.py writes it
   skins    face -> {canvas, width, height}: its drawing, mm of the face frame
   Returns null where there is no WebGL 2. On one canvas there may be one after another, each
   `done` before the next.                                                                      */
function cabinetPainter(canvas, scene, skins) {
  // Fine screens need no smoothing, which takes four times the memory.
  const gl = canvas.getContext("webgl2", { antialias: (window.devicePixelRatio || 1) < 2 });
  if (!gl) return null;

  // The viewer's axes are uniforms; light comes from the upper left, so that the same side of a
  // box is lit from wherever one looks.
  const vertex = `#version 300 es
    in vec3 at; in vec2 on; in vec4 normal;
    uniform vec3 right, up, toward, centre; uniform vec4 lens;
    out vec2 spot; out float dark;
    void main() {
      vec3 from = at - centre;
      float away = lens.z - dot(from, toward), near = 0.7 * lens.z, far = 1.3 * lens.z;
      gl_Position = vec4(lens.x * dot(from, right), lens.y * dot(from, up),
        ((far + near) * away - 2.0 * far * near) / (far - near), away);
      vec3 facing = vec3(dot(normal.xyz, right), dot(normal.xyz, up), dot(normal.xyz, toward));
      float lit = max(0.0, dot(facing, vec3(-0.25, 0.55, 0.797)));
      dark = max(normal.w, 0.34 * (1.0 - lit));
      spot = on;
    }`;
  const fragment = `#version 300 es
    precision highp float;
    in vec2 spot; in float dark; uniform sampler2D skin; uniform vec4 plain; out vec4 colour;
    void main() {
      vec3 paint = mix(texture(skin, spot).rgb, plain.rgb, plain.a);
      colour = vec4(paint * (1.0 - dark), 1.0);
    }`;
  const program = gl.createProgram();
  for (const [kind, source] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, source);
    gl.compileShader(shader);
    if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS))
      throw new Error(gl.getShaderInfoLog(shader));
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  gl.useProgram(program);
  const uniform = (name) => gl.getUniformLocation(program, name);

  // One buffer: all triangles, then all rims as lines. A batch is one face, painted or bare.
  const rows = [], batches = [], triangles = [], points = [];
  const row = (at, index, on, skin, normal, dark) => {
    const [x, y, z] = at.slice(3 * index, 3 * index + 3);
    const [u, v] = skin ? on.slice(2 * index, 2 * index + 2) : [0, 0];
    rows.push(x, y, z, skin ? u / skin.width : 0, skin ? 1 - v / skin.height : 0, ...normal, dark);
    points.push([x, y, z]);
    return [x, y, z, u, v];
  };
  const batch = (mode, skin, plain, first) => {
    const count = rows.length / 9 - first, last = batches[batches.length - 1];
    if (last && last.mode === mode && last.skin === skin && last.plain === plain)
      last.count += count;
    else batches.push({ mode, skin, plain, first, count });
  };
  for (const facet of scene.facets) {
    const skin = facet.on ? skins[facet.face] : null, first = rows.length / 9;
    const inside = facet.kind === "inside" ? 0.72 : 0;
    for (let index = 0; index < facet.at.length / 3; index += 3) {
      const corners = [0, 1, 2].map((step) =>
        row(facet.at, index + step, facet.on, skin, facet.normal, inside));
      triangles.push({ face: facet.face, painted: Boolean(skin), corners });
    }
    batch(gl.TRIANGLES, skin, skin ? null : facet.paint || scene.wood, first);
  }
  for (const facet of scene.facets) {
    if (["strip", "curve", "inside"].includes(facet.kind)) continue;
    const first = rows.length / 9, count = facet.rim.length / 3;
    for (let index = 0; index < count; index++) {
      row(facet.rim, index, null, null, facet.normal, 0.65);
      row(facet.rim, (index + 1) % count, null, null, facet.normal, 0.65);
    }
    batch(gl.LINES, null, scene.wood, first);
  }
  const buffer = gl.createBuffer();
  gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
  gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(rows), gl.STATIC_DRAW);
  for (const [name, size, offset] of [["at", 3, 0], ["on", 2, 3], ["normal", 4, 5]]) {
    const place = gl.getAttribLocation(program, name);
    gl.enableVertexAttribArray(place);
    gl.vertexAttribPointer(place, size, gl.FLOAT, false, 36, 4 * offset);
  }
  const sharp = gl.getExtension("EXT_texture_filter_anisotropic");
  const textures = new Map();
  for (const skin of Object.values(skins)) {
    gl.bindTexture(gl.TEXTURE_2D, gl.createTexture());
    textures.set(skin, gl.getParameter(gl.TEXTURE_BINDING_2D));
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.LINEAR_MIPMAP_LINEAR);
    if (sharp) gl.texParameterf(gl.TEXTURE_2D, sharp.TEXTURE_MAX_ANISOTROPY_EXT, 8);
  }
  gl.enable(gl.DEPTH_TEST);
  gl.enable(gl.CULL_FACE);
  gl.enable(gl.POLYGON_OFFSET_FILL);
  gl.polygonOffset(1, 1); // rims lie on the facets that they bound

  const ends = [0, 1, 2].map((axis) => {
    const values = points.map((point) => point[axis]);
    return [Math.min(...values), Math.max(...values)];
  });
  const centre = ends.map(([low, high]) => (low + high) / 2);
  const sizes = ends.map(([low, high]) => high - low);
  const reach = Math.hypot(...sizes) / 2; // no view of it is higher, and none wider than `spin`
  const spin = Math.hypot(sizes[0], sizes[1]) / 2;
  const start = { azimuth: -36, elevation: 20, zoom: 1 };
  const view = { ...start };
  let waiting = false, over = false;

  function axes() {
    const [a, e] = [view.azimuth, view.elevation].map((angle) => (angle * Math.PI) / 180);
    const [ca, sa, ce, se] = [Math.cos(a), Math.sin(a), Math.cos(e), Math.sin(e)];
    return [[ca, sa, 0], [-sa * se, ca * se, ce], [sa * ce, -ca * ce, se]];
  }
  function lens() {
    const distance = 7 * reach, aspect = canvas.clientWidth / Math.max(canvas.clientHeight, 1);
    const focus = view.zoom * distance * Math.min(1 / (1.04 * reach), aspect / (1.1 * spin));
    return [focus / aspect, focus, distance, aspect];
  }
  function draw() {
    waiting = false;
    if (over) return;
    const scale = Math.min(window.devicePixelRatio || 1, 2);
    const [wide, high] = [canvas.clientWidth, canvas.clientHeight].map((px) => Math.round(px * scale));
    if (!wide || !high) return;
    if (canvas.width !== wide || canvas.height !== high)
      [canvas.width, canvas.height] = [wide, high];
    gl.viewport(0, 0, wide, high);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    const [right, up, toward] = axes();
    gl.uniform3fv(uniform("right"), right);
    gl.uniform3fv(uniform("up"), up);
    gl.uniform3fv(uniform("toward"), toward);
    gl.uniform3fv(uniform("centre"), centre);
    gl.uniform4fv(uniform("lens"), lens());
    for (const { mode, skin, plain, first, count } of batches) {
      if (skin) gl.bindTexture(gl.TEXTURE_2D, textures.get(skin));
      const rgb = [1, 3, 5].map((at) => parseInt((plain || "#000000").slice(at, at + 2), 16) / 255);
      gl.uniform4fv(uniform("plain"), [...rgb, skin ? 0 : 1]);
      gl.drawArrays(mode, first, count);
    }
    canvas.dataset.drawn = `${view.azimuth} ${view.elevation} ${view.zoom.toFixed(3)}`;
  }
  function redraw() {
    if (!waiting) requestAnimationFrame(draw);
    waiting = true;
  }
  /* Without `which`, all of them. */
  function reskin(which) {
    for (const [skin, texture] of textures) {
      if (which && !which.has(skin)) continue;
      gl.bindTexture(gl.TEXTURE_2D, texture);
      gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, gl.RGBA, gl.UNSIGNED_BYTE, skin.canvas);
      gl.generateMipmap(gl.TEXTURE_2D);
    }
    redraw();
  }
  function look(change) {
    if (change.turn) view.azimuth = ((view.azimuth + change.turn + 540) % 360) - 180;
    if (change.tilt) view.elevation = Math.max(-88, Math.min(88, view.elevation + change.tilt));
    if (change.zoom) view.zoom = Math.max(0.5, Math.min(6, view.zoom * change.zoom));
    Object.assign(view, change.to || {});
    redraw();
  }
  /* The nearest painted face under a point of the canvas (CSS px), and the place on it, mm. */
  function picked(x, y) {
    const [fx, fy, distance] = lens(), [right, up, toward] = axes();
    const seek = [(2 * x) / canvas.clientWidth - 1, 1 - (2 * y) / canvas.clientHeight];
    const dot = (one, other) => one[0] * other[0] + one[1] * other[1] + one[2] * other[2];
    let best = null;
    for (const { face, painted, corners } of triangles) {
      const [a, b, c] = corners.map((corner) => {
        const from = [0, 1, 2].map((axis) => corner[axis] - centre[axis]);
        const away = distance - dot(from, toward);
        return { x: (fx * dot(from, right)) / away, y: (fy * dot(from, up)) / away, away, corner };
      });
      const whole = (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
      if (whole <= 0) continue; // seen from behind
      const share = (p, q) => ((q.x - p.x) * (seek[1] - p.y) - (seek[0] - p.x) * (q.y - p.y)) / whole;
      const shares = [share(b, c), share(c, a), share(a, b)];
      if (Math.min(...shares) < 0) continue;
      // 1 / away is what goes evenly over the picture.
      const weights = [a, b, c].map((corner, index) => shares[index] / corner.away);
      const total = weights[0] + weights[1] + weights[2];
      if (best && best.away <= 1 / total) continue;
      const mean = (place) =>
        [a, b, c].reduce((sum, each, index) => sum + weights[index] * each.corner[place], 0) / total;
      best = { face, painted, away: 1 / total, x: mean(3), y: mean(4) };
    }
    return best && best.painted ? best : null;
  }
  /* Where places of the cabinet, [x, y, z] mm, are on the canvas, [x, y] CSS px. */
  function seen(places) {
    const [fx, fy, distance] = lens(), [right, up, toward] = axes();
    const dot = (one, other) => one[0] * other[0] + one[1] * other[1] + one[2] * other[2];
    return places.map((place) => {
      const from = [0, 1, 2].map((axis) => place[axis] - centre[axis]);
      const away = distance - dot(from, toward);
      return [(1 + (fx * dot(from, right)) / away) / 2 * canvas.clientWidth,
        (1 - (fy * dot(from, up)) / away) / 2 * canvas.clientHeight];
    });
  }
  /* Gives back what the graphics card holds; the canvas keeps what it shows. */
  function done() {
    over = true;
    for (const texture of textures.values()) gl.deleteTexture(texture);
    gl.deleteBuffer(buffer);
    gl.deleteProgram(program);
  }
  reskin();
  return { look, picked, redraw, reskin, seen, done, start: () => look({ to: start }),
    facing: () => axes()[2], view: () => ({ ...view }) };
}
