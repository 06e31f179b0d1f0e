// How a figure is got from a fruit: one function for each way of taking.
import { against, isOver, isUnder } from "./bounds.js";
import { compare, fraction, over, reduced, times } from "./fractions.js";
import { figureNamed } from "./seen.js";
import { missingMarks, takeMarks, takePresent } from "./marks.js";
import { AT_LEAST, EXACT, MORE_THAN, NONE, UP_TO, taken, unknown } from "./taken.js";

const WAYS = {
  value: takeValue,
  ratio: takeRatio,
  codes: takeCodes,
  severity: takeSeverity,
  present: takePresent,
  places: takeMarks,
  sum: takeMarks,
  largest: takeMarks,
};

const take = (figure, seen) => WAYS[figure.take](figure, seen);

// The figure at a place of the rules, taken when it is first asked for.
export function takenAt(seen, place) {
  return (seen.taken[place] ??= take(seen.rules.figures[place], seen));
}

// What was not taken when a figure is unsure.
export function missingOf(figure, seen) {
  if (figure.take === "severity") return missingOf(figure.figure, seen);
  if (figure.take === "codes") return [seen.sizes.missing];
  if (!figure.of) return missingMarks(figure, seen);
  const missing = figure.of.filter((name) => figureNamed(seen, name) === null);
  return missing.length ? missing : figure.of.slice(1);
}

// Several measures added up; without one of them it is at least the others.
function takeValue(figure, seen) {
  const found = figure.of.map((name) => figureNamed(seen, name));
  const there = found.filter((each) => each !== null);
  const total = there.reduce((sum, each) => reduced([sum[0] * each[1] + each[0] * sum[1], sum[1] * each[1]]), NONE);
  return taken(total, there.length < found.length ? AT_LEAST : EXACT);
}

// One figure over another, both as they are written. Over nothing there is none.
function takeRatio(figure, seen) {
  const [top, bottom] = figure.of.map((name) => figureNamed(seen, name));
  if (top === null || bottom === null || !bottom[0]) return unknown();
  return taken(times(over(top, bottom), fraction(...figure.times)));
}

function takeCodes(figure, seen) {
  const { codes, perhaps, missing } = seen.sizes;
  if (perhaps) return taken(fraction(codes.length), UP_TO, [], fraction(codes.length + perhaps));
  return missing ? unknown() : taken(fraction(codes.length));
}

// The number of the step, 0 when nothing is there.
function takeSeverity(severity, seen) {
  const { value, extent, kinds, most } = take(severity.figure, seen);
  const low = fraction(stepOf(severity.steps, value, extent === MORE_THAN));
  if (extent === EXACT) return taken(low, extent, kinds);
  if (!most) return taken(low, AT_LEAST, kinds);
  const high = fraction(stepOf(severity.steps, most, false));
  return compare(low, high) ? taken(low, UP_TO, kinds, high) : taken(low, EXACT, kinds);
}

// The first step that the figure lies in; in a gap or past the last one, the last whose lower end it reached. More: the
// figure stands for something just above it.
function stepOf(steps, value, more) {
  if (!value[0] && !more) return 0;
  let reached = 0;
  for (const [place, step] of steps.entries()) {
    const isAt = (end) => more && end && against(value, end) === 0;
    if (isUnder(step, value) && !isAt(step.low)) continue;
    reached = place + 1;
    if (!isOver(step, value) && !isAt(step.high)) return reached;
  }
  return reached;
}
