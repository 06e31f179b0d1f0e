// Figures as people read them: the same words as the pages of the server.
import { fraction, rounded, times } from "./fractions.js";

export const THIN = "\u202f";

// By the unit of a measure: what a base unit is multiplied by, how many decimals, and what stands behind.
const SAID = {
  g: [fraction(1, 10), 1, `${THIN}g`],
  cm2: [fraction(1, 100), 2, `${THIN}cm²`],
  "%": [fraction(100), 2, `${THIN}%`],
  mm: [fraction(1, 10), 2, `${THIN}mm`],
  Brix: [fraction(1, 100), 2, `${THIN}Brix`],
  "": [fraction(1), 2, ""],
};

// A number with so many decimals and a thin space between thousands; empty decimals are dropped unless kept.
export function digits(value, places = 0, keep = false) {
  const ten = 10n ** BigInt(places);
  const scaled = rounded(times(value, [ten, 1n]));
  const size = scaled < 0n ? -scaled : scaled;
  let decimals = places ? String(size % ten).padStart(places, "0") : "";
  if (!keep) decimals = decimals.replace(/0+$/, "");
  const grouped = String(size / ten).replace(/\B(?=(\d{3})+$)/g, THIN);
  return `${scaled < 0n ? "−" : ""}${grouped}${decimals && "."}${decimals}`;
}

// A figure in base units.
export function say(value, unit = "") {
  const [factor, places, behind] = SAID[unit];
  return digits(times(value, factor), places) + behind;
}

export const sayWeight = (weight) => say(fraction(weight), "g");
export const sayArea = (area) => say(fraction(area), "cm2");

// "rub, scab and sunburn"
export function listed(words, last = "and") {
  const before = words.slice(0, -1).join(", ");
  return before ? `${before} ${last} ${words.at(-1)}` : words.join("");
}
