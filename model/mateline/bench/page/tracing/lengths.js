/* Lengths typed beside the drawing, read as the tape's notations have them: 12 1/4, 12-1/4, 3/8,
   12.5, with or without a unit. Only for places on tracing paper: what goes into the definition is
   read by the server.                                                                           */
const MM = { mm: 1, cm: 10, m: 1000, in: 25.4, "\"": 25.4, "\u2033": 25.4, ft: 304.8, "'": 304.8, "\u2032": 304.8 };

export function mmOf(text, tape) {
  const match = /^\s*(-)?\s*(?:(\d+(?:[.,]\d+)?)\s*(?:ft|'|\u2032)\s*)?(?:(\d+(?:[.,]\d+)?)(?![\d]*\/))?(?:[\s-]*(\d+)\/(\d+))?\s*(mm|cm|m|in|ft|"|\u2033|'|\u2032)?\s*$/
    .exec(text);
  if (!match || match.slice(2, 6).every((each) => each === undefined)) return null;
  const [, minus, feet, whole, over, under, unit] = match;
  const number = (each) => Number(String(each).replace(",", "."));
  const rest = (whole ? number(whole) : 0) + (over ? number(over) / number(under) : 0);
  const mm = (feet ? number(feet) * 304.8 : 0) + rest * (feet ? 25.4 : MM[unit || tape.unit] || 1);
  return Number.isFinite(mm) ? (minus ? -mm : mm) : null;
}
/* Circles of a template set: diameters by 1/16 inch to 3 1/2, or by 1 mm to 90. [mm across, words] */
export function templates(system) {
  if (system === "metric") return Array.from({ length: 89 }, (_, at) => [at + 2, `${at + 2}\u00a0mm`]);
  const parts = (n) => {
    const whole = Math.floor(n / 16);
    let [over, under] = [n % 16, 16];
    while (over && over % 2 === 0) [over, under] = [over / 2, under / 2];
    return `${whole || !over ? whole : ""}${whole && over ? " " : ""}${over ? `${over}/${under}` : ""}\u2033`;
  };
  return Array.from({ length: 55 }, (_, at) => [((at + 2) * 25.4) / 16, parts(at + 2)]);
}
