// The weight, areas, shares, lengths, places, colour stages and measures of a fruit as people type them: whole numbers of
// what is stored, or a refusal.
import { allows } from "./bounds.js";
import { compare, floor, fraction, over, reduced, rounded, times } from "./fractions.js";
import { decimals, keptWhole, quantity } from "./numbers.js";
import { Refusal, shown } from "./refusal.js";
import { THIN, digits, sayArea, sayWeight } from "./say.js";
import { readScale } from "./scale-line.js";

const AS_IN_KILOGRAMS = 3;
const SAYABLE_DG = 10n ** 8n;
const LONGEST_DMM = fraction(5000);
const WITHOUT_UNIT = { "": [1, 1] };

const isAbove0 = (value) => value[0] > 0n;
const isWhole = (value) => reduced(value)[1] === 1n;

// In tenths of a gram; a number without a unit is grams.
export function readWeight(text, { weight: field, fruit, scale }) {
  const exact = times(readScale(text, field, scale), fraction(10));
  const weight = rounded(exact);
  const fits = (dg) => dg >= BigInt(field.lightest_dg) && (field.heaviest_dg === null || dg <= BigInt(field.heaviest_dg));
  if (fits(weight)) return weight;
  const size = weight < 0n ? -weight : weight;
  const said = size < SAYABLE_DG ? `${digits(over(exact, fraction(10)), 3)}${THIN}g` : shown(text);
  if (weight < 0n) throw new Refusal(`${said} is less than nothing`, field.accepted);
  const apart = weight < BigInt(field.lightest_dg) ? "lighter" : "heavier";
  const slip = movedPoints(exact, decimals(text)).find((moved) => isWhole(moved) && fits(floor(moved)));
  const found = `${said} is ${apart} than any ${fruit.toLowerCase()}`;
  if (!slip) throw new Refusal(found, field.accepted);
  const meant = floor(slip);
  throw new Refusal(found, `did you mean ${sayWeight(meant)}?`, asTyped(meant));
}

// The same figures with the decimal point moved, as little as possible first; but three decimals are most likely
// kilograms, or a comma between thousands.
function movedPoints(exact, written) {
  const moved = [10, 100, 1000].flatMap((power) => [times(exact, fraction(power)), over(exact, fraction(power))]);
  return written === AS_IN_KILOGRAMS ? [times(exact, fraction(1000)), ...moved] : moved;
}

const asTyped = (weight) => (weight % 10n ? `${weight / 10n}.${weight % 10n}` : `${weight / 10n}`);

// In mm²; a number without a unit is cm².
export function readArea(text, { area: field }, surface) {
  const accepted = `an area up to ${sayArea(surface)} is accepted`;
  const [exact, unit] = quantity(text, field.units, accepted);
  const area = rounded(exact);
  if (area <= 0n) throw new Refusal(`${shown(text)} is no area to measure`, accepted);
  if (area <= surface) return area;
  const found = `${shown(text)} is more than the whole surface of this fruit, ${sayArea(surface)}`;
  const inMm2 = over(exact, fraction(100));
  const isSlip = unit === "" && isWhole(inMm2) && floor(inMm2) <= surface;
  throw new Refusal(found, isSlip ? `did you mean ${digits(inMm2)}${THIN}mm²?` : accepted);
}

// In hundredths of a per cent.
export function readShare(text, { share: field }) {
  const [percent] = quantity(text, field.units, field.accepted);
  const share = rounded(times(percent, fraction(100)));
  if (isAbove0(percent) && !share) {
    throw new Refusal(`${shown(text)} is less than can be kept`, `a share from 0.01${THIN}% is accepted`);
  }
  if (isAbove0(percent) && compare(percent, fraction(100)) <= 0) return share;
  throw new Refusal(`${shown(text)} is no share of a surface`, field.accepted);
}

// In tenths of a millimetre; a number without a unit is mm.
export function readLength(text, { length: field }) {
  const [exact] = quantity(text, field.units, field.accepted);
  if (!isAbove0(exact) || compare(exact, LONGEST_DMM) > 0) {
    throw new Refusal(`${shown(text)} is no length of a mark`, field.accepted);
  }
  return keptWhole(exact, text, "tenths of a mm", (step) => (step ? fraction(step, 10) : null));
}

export function readPlaces(text, { places: field }) {
  const number = wholeNumber(text, field.accepted);
  if (number >= 1n && number <= BigInt(field.most)) return number;
  throw new Refusal(`${shown(text)} is too ${number < 1n ? "small" : "big"}`, field.accepted);
}

export function readStage(text, { stage: field }) {
  const number = wholeNumber(text, field.accepted);
  if (field.stages.includes(Number(number))) return number;
  throw new Refusal(`${shown(text)} is no stage of this colour scale`, field.accepted);
}

// "1,000" may well mean a thousand, and must not become 1.
function wholeNumber(text, accepted) {
  const [number] = quantity(text, WITHOUT_UNIT, accepted);
  if (decimals(text)) throw new Refusal(`${shown(text)} is not a whole number`, accepted);
  return floor(number);
}

// A measure of the crop in what is stored.
export function readFigure(text, field, { name, per }) {
  const [exact] = quantity(text, field.units, field.accepted);
  if (exact[0] < 0n || !allows(field, exact)) {
    throw new Refusal(`${shown(text)} is no ${name} that can be`, field.accepted);
  }
  return keptWhole(times(exact, fraction(per)), text, field.kept, (step) => {
    const base = fraction(step, per);
    return allows(field, base) ? over(base, fraction(...field.base)) : null;
  });
}
