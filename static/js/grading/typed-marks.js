// The marks of one kind in one field, "10 + 5 + 3 mm", or a word for one that is just there.
import { readArea, readLength, readPlaces, readShare } from "./amounts.js";
import { plain } from "./fractions.js";
import { Refusal, Refused, ZERO, shown, strip } from "./refusal.js";

const MOST_MARKS = 50;
const THERE = ["yes", "y", "x", "1", "true", "there"];
const NOT_THERE = ["", "no", "n", "0", "false", "nil", "none", "-"];
const OF_NUMBERS = /^[0-9., ]+/;

const HELD_IN = { area: "area_mm2", share: "share_bp", length: "length_dmm", places: "places" };
const READERS = { area: readArea, share: readShare, length: readLength, places: readPlaces };
const HOW_MUCH = {
  area: "area in cm²",
  share: "share of the surface in %",
  length: "length in mm",
  places: "number of places",
};

const NO_FIGURE = { area_mm2: null, share_bp: null, length_dmm: null, places: null };

// The marks of a kind; the states ticked go for all of them, and are null where nobody looks at them. Note carries out a
// reading, and keeps what is said of a refused one.
export function marksOf({ id, measure, name }, { text, ticked, states }, reading, surface, note) {
  const mark = (held) => ({ kind: id, ...NO_FIGURE, states, ...held });
  const seen = ticked || states?.length > 0;
  if (measure === "present") return note(id, () => isThere(text)) || seen ? [mark()] : [];
  if (!text || ZERO.test(text)) {
    if (seen) note(id, () => { throw howMuch(name, measure, ticked); });
    return [];
  }
  const read = (part) => note(id, () => READERS[measure](part, reading, surface));
  const figures = (note(id, () => eachMark(text)) ?? []).map(read).filter((each) => each !== null);
  return figures.map((each) => mark({ [HELD_IN[measure]]: plain(each) }));
}

// What to do about a kind without a figure.
function howMuch(name, measure, ticked) {
  return new Refused(`${name}: type its ${HOW_MUCH[measure]}${ticked ? ", or touch it again to lift it" : ""}.`);
}

function isThere(text) {
  const word = strip(text).toLowerCase();
  if (THERE.includes(word) || NOT_THERE.includes(word)) return THERE.includes(word);
  throw new Refusal(`${shown(text)} does not say whether it is there`, "yes or no is accepted");
}

// One unit goes for all that have none.
function eachMark(text) {
  const parts = text.replace(/^\+/, "").split("+").map(strip);
  if (parts.length === 1) return [text];
  if (parts.length > MOST_MARKS) {
    throw new Refusal(`${parts.length} marks are too many`, `at most ${MOST_MARKS} of a kind are accepted`);
  }
  if (!parts.every(Boolean)) {
    throw new Refusal(`${shown(text)} has a plus with nothing beside it`, '"10 + 5 + 3" is accepted for three marks');
  }
  const units = new Set(parts.map(unitOf));
  const named = [...units].filter(Boolean);
  if (named.length > 1 && units.has("")) {
    throw new Refusal(`${shown(text)} has two units and a figure without one`, "a unit behind each is accepted");
  }
  return parts.map((part) => (unitOf(part) ? part : strip(`${part} ${named[0] ?? ""}`)));
}

const unitOf = (part) => part.replace(OF_NUMBERS, "");
