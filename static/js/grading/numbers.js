// Numbers as people write them, with a unit behind or without: decimals with a point or one comma, thousands set apart by
// spaces. What is refused here is refused by the server in the same words.
import { floor, fraction, reduced, times } from "./fractions.js";
import { Refusal, printable, shown } from "./refusal.js";
import { digits } from "./say.js";

const LONGEST = 64;
const MINUS = /[\u2212\u2013\u2010\u2011]/g;
// Grouping starts with a digit above 0, so that "01 460" stays two numbers.
export const WHOLE = "(?:[1-9][0-9]{0,2}(?: [0-9]{3})+|[0-9]+)";
const TYPED = new RegExp(`^(?<sign>[+-]?) ?(?<whole>${WHOLE})?(?:[.,](?<part>[0-9]*))?(?<unit>(?![0-9.,+-]).*)?$`);
// The letters O and l, and a capital I, are typed for 0 and 1.
const LETTER_FOR_DIGIT = /(?<![A-Za-z])(?=[OoIl]*[0-9])[0-9.,OoIl]*[OoIl][0-9.,OoIl]*(?![A-Za-z])/;
const WRONG = [
  [/^[^0-9]*$/, "is not a number"],
  [/[0-9][eE][+-]?[0-9]/, "is not a plain number"],
  [/[0-9],[0-9]*\.|[0-9]\.[0-9]*,/, "has both a comma and a point"],
  [/[.,][0-9]*[.,]/, "has more than one decimal point"],
  [LETTER_FOR_DIGIT, "has a letter where a digit should stand"],
  [/[0-9](?!k?g)(?:(?![0-9])[\p{L}\p{N}])+[0-9]/u, "has a letter where a digit should stand"],
  [/[0-9][^0-9.,]+[.,]?[0-9]/, "holds more than one number"],
];

// One line with single spaces and plain minus signs.
export function tidy(text, accepted) {
  if (text.length > LONGEST) throw new Refusal(`${shown(text)} is too long for a number`, accepted);
  const line = printable(text.replace(MINUS, "-")).split(" ").filter(Boolean).join(" ");
  if (!line) throw new Refusal("Nothing was typed", accepted);
  return line;
}

// The number and what stands behind it, in small letters without spaces; null when it is no typed number.
export function splitUnit(line) {
  const { sign, whole, part, unit } = TYPED.exec(line)?.groups ?? {};
  if (!whole && !part) return null;
  const number = BigInt((whole ?? "0").replaceAll(" ", "") + (part ?? ""));
  const value = fraction(sign === "-" ? -number : number, 10n ** BigInt((part ?? "").length));
  return [value, (unit ?? "").replaceAll(" ", "").toLowerCase()];
}

// The number times the factor of its unit, and the unit; "" among the units is the bare number.
export function quantity(text, units, accepted) {
  const line = tidy(text, accepted);
  const found = splitUnit(line);
  if (!found) throw new Refusal(noNumber(line), accepted);
  const [number, unit] = found;
  if (!Object.hasOwn(units, unit)) throw new Refusal(oddUnit(line, unit), accepted);
  return [times(number, fraction(...units[unit])), unit];
}

// A figure in whole steps of what is kept; one between two is refused with both. Says gives the figure of so many steps,
// or null where that cannot be.
export function keptWhole(exact, text, kept, says) {
  const [num, den] = reduced(exact);
  if (den === 1n) return num;
  const least = floor([num, den]);
  const near = [least, least + 1n].map(says).filter((each) => each !== null);
  const accepted = near.map((each) => digits(each, kept.startsWith("tenths") ? 1 : 2, true)).join(" or ");
  throw new Refusal(`${shown(text)}: ${kept} are kept`, `${accepted} is accepted`);
}

export const hasLetterForDigit = (line) => LETTER_FOR_DIGIT.test(line);

// How many digits stand behind the comma or point.
export const decimals = (text) => /[.,]([0-9]*)/.exec(text)?.[1].length ?? 0;

export function noNumber(line) {
  const wrong = WRONG.find(([pattern]) => pattern.test(line));
  return `${shown(line)} ${wrong ? wrong[1] : "is not a plain number"}`;
}

export function oddUnit(line, unit) {
  return /[0-9]/.test(unit) || hasLetterForDigit(line) ? noNumber(line) : `${shown(line)} has an unknown unit`;
}
