// Lines that scales send, as the server reads them (shedgrade/domain/entry/scale.py); what their words say comes with the
// rules.
import { fraction, times } from "./fractions.js";
import { WHOLE, hasLetterForDigit, noNumber, oddUnit, splitUnit, tidy } from "./numbers.js";
import { Refusal } from "./refusal.js";

const LINE = new RegExp(`^(?<head>[^0-9]*?)(?<number>[+-]? ?(?:${WHOLE}(?:[.,][0-9]*)?|\\.[0-9]+))(?<tail>[^0-9]*)$`);
const WORDS = /[A-Za-z]+|[^A-Za-z ,;:]+/g;
const START_OF_FRAME = "\x02";
const FINE = "FINE";

// The settled weight of a typed number or a scale's line, times the factor of its unit.
export function readScale(text, { units, accepted }, scale) {
  const line = tidy(text, accepted);
  const framed = text.includes(START_OF_FRAME);
  const typed = framed ? null : splitUnit(line);
  if (typed && Object.hasOwn(units, typed[1])) return times(typed[0], fraction(...units[typed[1]]));
  if (!framed && hasLetterForDigit(line)) throw new Refusal(noNumber(line), accepted);
  const { number, unit, words } = parts(line, units, framed);
  const mark = gravest(words, scale);
  if (mark === null || (!number && mark === FINE)) {
    throw new Refusal(typed ? oddUnit(line, typed[1]) : noNumber(line), accepted);
  }
  if (mark !== FINE || !number) throw new Refusal(...scale.says[mark]);
  return times(number, fraction(...units[unit]));
}

const wordsIn = (text) => text.match(WORDS) ?? [];

// The number, its unit, and the words around them; in a frame the letter G is gross, not gram.
function parts(line, units, framed) {
  const found = LINE.exec(line)?.groups;
  if (!found) return { number: null, unit: "", words: wordsIn(line) };
  const [before, behind] = [wordsIn(found.head), wordsIn(found.tail)];
  if (found.head && !before.length) return { number: null, unit: "", words: [found.head] };
  const isUnit = behind.length && Object.hasOwn(units, behind[0].toLowerCase()) && !(framed && behind[0] === "G");
  const unit = isUnit ? behind.shift().toLowerCase() : "";
  return { number: splitUnit(found.number)?.[0] ?? null, unit, words: [...before, ...behind] };
}

// What the words say together; null when one of them is not known.
function gravest(words, scale) {
  const pair = own(scale.pairs, words.slice(0, 2).join(" "));
  const marks = pair ? [pair, ...words.slice(2).map(markOf)] : words.map(markOf);
  if (marks.includes(null)) return null;
  return Object.keys(scale.says).find((mark) => marks.includes(mark)) ?? FINE;

  // A small letter is more likely a slip of the hand than a mark.
  function markOf(word) {
    if (word.length === 1) return own(scale.words, word);
    return own(scale.words, word.toUpperCase()) ?? (new Set(word).size === 1 ? own(scale.fills, word[0]) : null);
  }
}

const own = (among, name) => (Object.hasOwn(among, name) ? among[name] : null);
