// Figures over marks: present, places, added up, the largest. States narrow them to the marks that are in one of the
// states; of a mark whose state nobody looked at nobody knows whether it counts.
import { compare, fraction, over, times } from "./fractions.js";
import { figureNamed } from "./seen.js";
import { blemishSurface } from "./surface.js";
import { AT_LEAST, EXACT, MORE_THAN, NONE, UP_TO, taken, unknown } from "./taken.js";

const BP = 10000n;

const kindsIn = (figure) => figure.kinds ?? [];
const marksOf = (seen, kinds) => kinds.flatMap((kind) => seen.marks.get(kind) ?? []);
const sum = (numbers) => numbers.reduce((total, each) => total + BigInt(each), 0n);

// Those of the kinds that are there, and whether there may be more because not all were looked for.
function named(figure, seen) {
  const kinds = kindsIn(figure);
  const lookedFor = seen.fruit.looked_for;
  const all = lookedFor === null || kinds.every((kind) => lookedFor.includes(kind));
  return [kinds.filter((kind) => seen.marks.has(kind)), all ? EXACT : AT_LEAST];
}

// true, false, or null where nobody looked.
function counts(figure, mark) {
  if (!figure.states) return true;
  return mark.states === null ? null : figure.states.some((state) => mark.states.includes(state));
}

// How many of the kinds are there.
export function takePresent(figure, seen) {
  const [there, extent] = named(figure, seen);
  const has = (kind, sought) => seen.marks.get(kind).some((mark) => sought(counts(figure, mark)));
  const sure = there.filter((kind) => has(kind, (each) => each === true));
  const unsure = there.some((kind) => !sure.includes(kind) && has(kind, (each) => each === null));
  if (!unsure || extent !== EXACT) return taken(fraction(sure.length), extent, sure);
  const most = there.filter((kind) => has(kind, (each) => each !== false)).length;
  return taken(fraction(sure.length), UP_TO, sure, fraction(most));
}

// The kinds added up, the largest mark of them, or their places; the same kind twice counts twice.
export function takeMarks(figure, seen) {
  const found = figure.states ? takeSome(figure, seen) : takeAll(figure, seen);
  return figure.as_on ? scaled(found, scaleOf(figure.as_on, seen)) : found;
}

function takeAll(figure, seen) {
  const [there, extent] = named(figure, seen);
  if (!there.length) return extent === EXACT ? taken(NONE) : unknown();
  const { value, gaps } = measured(figure, marksOf(seen, there), seen);
  if (gaps) return taken(value, withGaps(figure, value), there);
  if (figure.take !== "largest") return taken(value, extent, there);
  const isLargest = (kind) => compare(measured(figure, marksOf(seen, [kind]), seen).value, value) === 0;
  return taken(value, extent, there.filter(isLargest));
}

function takeSome(figure, seen) {
  const [there, extent] = named(figure, seen);
  const all = marksOf(seen, there);
  const sure = all.filter((mark) => counts(figure, mark));
  const kinds = there.filter((kind) => sure.some((mark) => mark.kind === kind));
  const { value, gaps } = measured(figure, sure, seen);
  if (gaps) return taken(value, withGaps(figure, value), kinds);
  const most = measured(figure, all.filter((mark) => counts(figure, mark) !== false), seen);
  if (extent !== EXACT || most.gaps) return taken(value, AT_LEAST, kinds);
  return compare(most.value, value) ? taken(value, UP_TO, kinds, most.value) : taken(value, EXACT, kinds);
}

// A mark without a figure adds to a sum; the largest it need not be.
const withGaps = (figure, value) => (figure.take === "largest" && value[0] ? AT_LEAST : MORE_THAN);

// What marks come to, and whether there is one among them without a figure.
function measured(figure, marks, seen) {
  if (figure.take !== "largest") return addedUp(figure.by, marks, seen);
  const each = marks.map((mark) => addedUp(figure.by, [mark], seen));
  const value = each.reduce((most, found) => (compare(found.value, most) > 0 ? found.value : most), NONE);
  return { value, gaps: each.some((found) => found.gaps) };
}

function addedUp(by, marks, seen) {
  if (!by) return { value: [sum(marks.map((mark) => mark.places ?? 1)), 1n], gaps: false };
  const gaps = marks.some((mark) => !has(mark, by));
  if (by === "length") return { value: [sum(marks.map((mark) => mark.length_dmm ?? 0)), 1n], gaps };
  return { value: by === "area" ? areaOf(marks, seen) : shareOf(marks, seen), gaps };
}

function has(mark, by) {
  return by === "length" ? mark.length_dmm !== null : mark.area_mm2 !== null || mark.share_bp !== null;
}

// In mm²; what is known only as a share is turned by the blemish surface.
function areaOf(marks, seen) {
  const area = sum(marks.map((mark) => mark.area_mm2 ?? 0));
  const share = sum(marks.map((mark) => (mark.area_mm2 === null ? mark.share_bp ?? 0 : 0)));
  return share ? [area * BP + share * blemishSurface(seen.rules, seen.weight), BP] : [area, 1n];
}

// As a share of one; what is known only in mm² is turned by the blemish surface.
function shareOf(marks, seen) {
  const share = sum(marks.map((mark) => mark.share_bp ?? 0));
  const area = sum(marks.map((mark) => (mark.share_bp === null ? mark.area_mm2 ?? 0 : 0)));
  if (!area) return [share, BP];
  const surface = blemishSurface(seen.rules, seen.weight);
  return [share * surface + area * BP, BP * surface];
}

// What a figure is multiplied by: the surface of the fruit of reference over that of this one, which goes by the square
// of a diameter; null when its size was not taken.
function scaleOf(asOn, seen) {
  if (asOn.surface) return [BigInt(asOn.surface), blemishSurface(seen.rules, seen.weight)];
  const size = figureNamed(seen, asOn.of);
  if (size === null || !size[0]) return null;
  const ratio = over(fraction(...asOn.size), size);
  return times(ratio, ratio);
}

// Of a fruit whose size was not taken only that there is something.
function scaled({ value, extent, kinds, most }, factor) {
  if (factor) return taken(times(value, factor), extent, kinds, most && times(most, factor));
  const there = value[0] || extent === MORE_THAN;
  return taken(NONE, there ? MORE_THAN : most ? AT_LEAST : extent, kinds);
}

// The kinds not looked for or without a figure, the states not looked at, the size of the fruit.
export function missingMarks(figure, seen) {
  const kinds = [...new Set(kindsIn(figure))];
  const marks = (kind) => seen.marks.get(kind) ?? [];
  const notLookedFor = (kind) => seen.fruit.looked_for !== null && !seen.fruit.looked_for.includes(kind);
  const needsFigure = figure.take !== "present" && figure.take !== "places";
  const lacks = (kind) => needsFigure && marks(kind).some((mark) => !has(mark, figure.by));
  const missing = kinds.filter((kind) => notLookedFor(kind) || lacks(kind));
  if (figure.states) {
    const stateless = kinds.filter((kind) => marks(kind).some((mark) => mark.states === null));
    missing.push(...stateless.map((kind) => `state of ${kind}`));
  }
  if (figure.as_on && marksOf(seen, kinds).length && scaleOf(figure.as_on, seen) === null) missing.push(figure.as_on.of);
  return missing;
}
