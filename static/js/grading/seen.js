// The facts of one fruit put in order: its marks by kind, its other figures by measure, its size codes. What is taken of
// it and answered about it is kept beside them.
import { fraction } from "./fractions.js";
import { sizesOf } from "./sizes.js";

export function seenOf(rules, fruit) {
  const seen = { rules, fruit, taken: [], answers: [] };
  seen.weight = BigInt(fruit.weight_dg);
  seen.measures = new Map(fruit.measures);
  seen.marks = new Map();
  const known = new Set(rules.reading.kinds.map(({ id }) => id));
  for (const mark of fruit.defects) {
    if (!known.has(mark.kind)) throw new Error(`the crop has no defect kind "${mark.kind}"`);
    if (isThere(mark)) seen.marks.set(mark.kind, [...(seen.marks.get(mark.kind) ?? []), mark]);
  }
  seen.sized = figureNamed(seen, rules.sizes.of);
  seen.sizes = sizesOf(rules.sizes, seen.sized);
  return seen;
}

// A figure of 0 says that it was looked for and not found; none at all, that it is there.
function isThere(mark) {
  const said = [mark.area_mm2, mark.share_bp, mark.length_dmm, mark.places];
  return said.some(Boolean) || said.every((each) => each === null);
}

// The weight, the colour stage, or a measure of the crop, of the fruit or of its load; null when it was not taken.
export function figureNamed(seen, name) {
  const { weight, fruit, measures, rules } = seen;
  if (name === "weight") return [weight, 1n];
  if (name === "colour stage") return fruit.stage === null ? null : fraction(fruit.stage);
  const { per, mean } = rules.measures[name];
  if (!per) return mean && fraction(...mean);
  return measures.has(name) ? fraction(measures.get(name), per) : null;
}
