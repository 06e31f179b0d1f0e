// The size codes of a fruit: those it has, how many more it may have if it is of another variety, and what was not
// taken to know them.
import { fraction, over, rounded, times } from "./fractions.js";
import { allows } from "./bounds.js";

// The figure as the table looks it up: rounded, or so many fruit in a mass.
export function lookedUp(sizes, figure) {
  const value = sizes.in_dg ? over(fraction(...sizes.in_dg), figure) : figure;
  if (!sizes.step) return value;
  const step = fraction(sizes.step);
  return times([rounded(over(value, step)), 1n], step);
}

export function sizesOf(sizes, figure) {
  if (figure === null) return { codes: [], perhaps: 0, missing: sizes.of };
  const value = lookedUp(sizes, figure);
  const holding = (bands = []) => bands.filter((band) => allows(band, value)).map((band) => band.name);
  const codes = holding(sizes.bands);
  const perhaps = new Set(holding(sizes.perhaps).filter((name) => !codes.includes(name))).size;
  return { codes, perhaps, missing: perhaps ? "variety" : "" };
}
