/* Lengths as the tape of the job reads them; `tape` is that of GET C/definition:
   {unit, graduation_mm, system: "inch" | "metric"}. Only for what is dragged: whatever else is said
   comes from the server.                                                                        */
const INCH = 25.4;
const common = (a, b) => (b ? common(b, a % b) : a);

/* The nearest whole number, midway the even one, as tapes are read (NIST Handbook 44, 10.3). */
function nearest(number) {
  const whole = Math.round(number);
  return Math.abs(number % 1) === 0.5 && whole % 2 ? whole - 1 : whole;
}
/* The nearest mark of the tape, mm. */
export const onMark = (mm, tape) => nearest(mm / tape.graduation_mm) * tape.graduation_mm;

const PARTS = [1, 2, 4, 8, 16, 32, 64, 10, 100, 3, 6, 12]; // of an inch, that a tape may have
/* A reading that the definition takes: 3 1/16 in an inch file, "78.5" in one of mm. Never
   with a unit, since a length without one has the file's. */
export function reading(mm, tape) {
  if (tape.unit === "in" || tape.unit === "ft") {
    const mark = tape.graduation_mm / INCH;
    const parts = PARTS.find((each) => Math.abs(mark * each - Math.round(mark * each)) < 1e-9) || 64;
    const marks = Math.round((onMark(mm, tape) / INCH) * parts), sign = marks < 0 ? "-" : "";
    const whole = Math.floor(Math.abs(marks) / parts), rest = Math.abs(marks) % parts;
    const unit = tape.unit === "ft" ? "\"" : "";
    if (!rest) return `${sign}${whole}${unit}`;
    const by = common(rest, parts);
    return `${sign}${whole ? `${whole} ` : ""}${rest / by}/${parts / by}${unit}`;
  }
  const scale = { mm: 1, cm: 10, m: 1000 }[tape.unit];
  const digits = Math.max(0, Math.ceil(-Math.log10(tape.graduation_mm / scale) - 1e-9));
  const text = (onMark(mm, tape) / scale).toFixed(digits);
  return Number(text) === 0 ? "0" : text.includes(".") ? text.replace(/\.?0+$/, "") : text;
}

/* The same as a value of the file: a number where its unit is one of numbers. */
export function word(mm, tape) {
  const text = reading(mm, tape);
  return ["in", "ft"].includes(tape.unit) ? text : Number(text);
}

/* The same for people: with its unit. */
export function said(mm, tape) {
  const text = reading(mm, tape);
  if (tape.unit === "in") return `${text}\u2033`;
  return tape.unit === "ft" ? text.replace("\"", "\u2033") : `${text}\u00a0${tape.unit}`;
}

/* What a text of the definition roughly is, mm; null where it is no plain length (arithmetic). For
   what is drawn before the server has an answer. `measures` are the definition's own. */
const MM = { mm: 1, cm: 10, m: 1000, in: INCH, ft: 12 * INCH };
const VULGAR = { "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3" };
export function mmOf(value, tape, measures = {}) {
  if (typeof value === "number") return value * MM[tape.unit];
  if (typeof value !== "string") return null;
  const plain = value.replace(/[½¼¾⅛⅜⅝⅞⅓⅔]/g, (each) => ` ${VULGAR[each]}`).replace(/[′’‘]/g, "'")
    .replace(/[″”“]/g, "\"").replace(/[⁄∕]/g, "/").replace(/''/g, "\"").toLowerCase().trim();
  if (plain.startsWith("-")) {
    const size = mmOf(plain.slice(1), tape, measures);
    return size === null ? null : -size;
  }
  if (plain in measures) return mmOf(measures[plain], tape, {});
  let sum = 0, rest = plain, unit = null, parts = 0;
  while (rest) {
    const found = /^-?\s*(\d+(?:[.,]\d+)?(?!\/|\d)|\.\d+)?(?:[\s-]*(\d+)\/(\d+))?\s*(millimet\w+|centimet\w+|met\w+|mm|cm|m|inch\w*|in\.?|foot|feet|ft\.?|'|")?\s*/
      .exec(rest);
    if (!found || !(found[1] || found[2]) || found[0] === "") return null;
    const size = Number((found[1] || "0").replace(",", ".")) + (found[2] ? Number(found[2]) / Number(found[3]) : 0);
    const word = found[4]?.replace(".", "");
    const own = word && (MM[word] ? word : word === "'" || /^f/.test(word) ? "ft" : word === "\"" || /^i/.test(word) ? "in"
      : { mi: "mm", ce: "cm", me: "m" }[word.slice(0, 2)]);
    rest = rest.slice(found[0].length);
    const feet = !own && !parts && rest.startsWith("-") && tape.unit !== "mm";
    sum += size * MM[own || (feet ? "ft" : unit === "ft" ? "in" : tape.unit)];
    unit = own || (feet ? "ft" : unit);
    parts += 1;
    if (parts > 3) return null;
  }
  return parts ? sum : null;
}
