/* Lengths on tracing paper: those that are typed are read as everywhere on the page. */
import { said } from "../said.js";

export { mmOf } from "../said.js";
/* Circles of a template set: diameters by 1/16 inch to 3 1/2, or by 1 mm to 90. [mm across, words] */
export function templates(system) {
  const [count, tape] = system === "metric" ? [89, { unit: "mm", graduation_mm: 1 }] : [55, { unit: "in", graduation_mm: 25.4 / 16 }];
  return Array.from({ length: count }, (_, at) => (at + 2) * tape.graduation_mm).map((across) => [across, said(across, tape)]);
}
