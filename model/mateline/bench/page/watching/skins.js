/* Faces on canvases, as skins of the cabinet in space: what GET C/faces/FACE tells, painted.

   skinFor(data)                     {face, key, canvas, width, height, shapes}
   paintSkin(skin, fill)             paints it anew; fill(piece) gives a colour, null for none   */
// Painted by the processor: thousands of small areas are slow on a graphics card, most of all on one that
// is only played by the processor, and whether a place is in an area is asked again and again.
const CPU = { willReadFrequently: true };
const LONGEST = 1024; // px: the longer side
const STAYS = "#8d949c", OPEN = "#1b1d20"; // hardware, and holes; as in the job book

export function skinFor(data) {
  const scale = LONGEST / Math.max(data.width, data.height);
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(data.width * scale));
  canvas.height = Math.max(1, Math.round(data.height * scale));
  return { face: data.name, key: data.key, canvas, width: data.width, height: data.height,
    base: data.base, outline: new Path2D(data.outline),
    pieces: data.pieces.map((piece) => ({ piece, path: new Path2D(piece.d) })),
    holes: data.holes.map((hole) => ({ hole, open: new Path2D(hole.d), clear: new Path2D(hole.clear) })) };
}

export function paintSkin(skin, fill = (piece) => piece.paint) {
  const { canvas, width, height } = skin, brush = canvas.getContext("2d", CPU);
  brush.setTransform(canvas.width / width, 0, 0, canvas.height / height, 0, 0);
  const px = width / canvas.width;
  const put = (path, colour, line, wide) => {
    brush.fillStyle = colour;
    brush.fill(path, "evenodd");
    brush.strokeStyle = line;
    brush.lineWidth = wide * px;
    brush.stroke(path);
  };
  put(skin.outline, skin.base, skin.base, 4); // beyond its outline too, or its rim would be wood
  for (const { piece, path } of skin.pieces) {
    const colour = fill(piece, skin.face);
    if (colour) put(path, colour, colour, 1.2); // neighbours lap, or a seam shows between them
  }
  for (const { hole, open, clear } of skin.holes)
    if (hole.stays) put(clear, STAYS, "#fff", 2);
    else put(open, OPEN, "#fff", 2);
}

/* The piece at [x, y] of the face frame, mm; null where there is none. */
export function pieceAt(skin, [x, y]) {
  const brush = skin.canvas.getContext("2d", CPU);
  brush.setTransform(1, 0, 0, 1, 0, 0);
  return skin.pieces.find(({ path }) => brush.isPointInPath(path, x, skin.height - y, "evenodd"))?.piece || null;
}

/* Black or white, whichever is read better on a colour: relative luminance as in WCAG 2.1. */
export function inkOn(colour) {
  const light = [1, 3, 5].map((at) => {
    const share = parseInt(colour.slice(at, at + 2), 16) / 255;
    return share <= 0.03928 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2] > 0.179 ? "#000" : "#fff";
}
