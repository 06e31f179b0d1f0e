// One fruit under the rules of its load: the best class whose limits it does not break, and why it missed the better
// ones. The rules come from the server (/samples/…/rules); its own verdict is the same.
import { BROKEN, NOT_JUDGED } from "./bounds.js";
import { takenAt } from "./figures.js";
import { wordsOf } from "./fruit-words.js";
import { judgeLimit } from "./limits.js";
import { notJudgedOf, reasonOf } from "./reasons.js";
import { seenOf } from "./seen.js";
import { EXACT } from "./taken.js";

export function judge(rules, fruit) {
  const seen = seenOf(rules, fruit);
  const { classes } = rules;
  const { size, placed, byCode } = best(seen, borneOut(rules, seen.sizes, fruit.size_code));
  const made = classes[placed.place] ?? null;
  const reasons = (rulings, place) => rulings.map((each) => reasonOf(each, classes[place].id, size, seen));
  const counted = rules.tray && made ? countOf(rules.tray, seen.weight) : { count: null, misfit: null };
  const verdict = {
    class_id: made && made.id,
    class_name: made && made.name,
    codes: seen.sizes.codes,
    judged_as: size,
    ...counted,
    outlet: outletOf(rules, placed, counted.misfit),
    reasons: placed.broken.flatMap(reasons),
    not_judged: placed.unsure.map((each) => notJudgedOf(each, seen)),
    by_code: byCode,
    severities: rules.severities.map((place) => severityAt(seen, place)),
  };
  verdict.packed = verdict.outlet === null || verdict.outlet.packed;
  return { ...verdict, words: wordsOf(rules, fruit, verdict) };
}

// The code on the pack where the fruit bears it out, or where its size was not taken; null otherwise.
export function borneOut(rules, { codes, missing }, code) {
  const among = codes.length || !missing ? codes : rules.sizes.codes;
  return code && among.includes(code) ? code : null;
}

// Where a fruit comes out under one table: the place of its class, the broken limits of each better one.
function place(number, seen) {
  const { tables, rulings } = seen.rules;
  const broken = [];
  for (const numbers of tables[number]) {
    const answers = numbers.map((each) => answerOf(each, seen));
    const only = (answer) => numbers.filter((_, at) => answers[at] === answer).map((each) => rulings[each]);
    if (!answers.includes(BROKEN)) return { place: broken.length, broken, unsure: only(NOT_JUDGED) };
    broken.push(only(BROKEN));
  }
  return { place: broken.length, broken, unsure: [] };
}

function answerOf(number, seen) {
  return (seen.answers[number] ??= judgeLimit(seen.rules.rulings[number], seen));
}

// The size it is judged for, how it comes out, and its class for each of its sizes: the code on the pack, else the one
// that gives the best class, the first where several do.
function best(seen, code) {
  const { table_of: tableOf, classes } = seen.rules;
  const { codes, missing } = seen.sizes;
  if (!codes.length) {
    const table = code === null ? tableOf[missing ? "unknown" : "no size"] : tableOf.size[code];
    return { size: code, placed: place(table, seen), byCode: [] };
  }
  const found = new Map(codes.map((each) => [each, place(tableOf.size[each], seen)]));
  const least = Math.min(...[...found.values()].map((each) => each.place));
  const size = code ?? codes.find((each) => found.get(each).place === least);
  const byCode = [...found].map(([each, placed]) => [each, classes[placed.place]?.id ?? null]);
  return { size, placed: found.get(size), byCode };
}

// The smallest count at which fruit of this weight reach the tray's net weight, or why there is none.
function countOf(tray, weight) {
  if (tray.heaviest_dg !== null && weight > BigInt(tray.heaviest_dg)) return { count: null, misfit: "too heavy" };
  const count = tray.counts.find((each) => weight * BigInt(each) >= BigInt(tray.net_dg));
  return count === undefined ? { count: null, misfit: "too light" } : { count, misfit: null };
}

// Where it goes: by the limits every class broke, or by the misfit with the tray; null when it is packed.
function outletOf(rules, placed, misfit) {
  const isClassless = placed.place === rules.classes.length;
  if (!isClassless && !misfit) return null;
  const brokenBy = placed.broken.map((broken) => new Set(broken.map(([limit]) => rules.limits[limit].id)));
  const cases = isClassless ? [...brokenBy[0]].filter((id) => brokenBy.every((each) => each.has(id))) : [misfit];
  const takes = (outlet) => outlet.takes.some((each) => cases.includes(each));
  const outlet = rules.outlets.find(takes) ?? rules.outlets.find((each) => each.takes.includes("no class"));
  return { id: outlet.id, name: outlet.name, packed: outlet.packed };
}

// The step of a severity: its number and name, 0 and "" when nothing is there, null when it is not known.
function severityAt(seen, place) {
  const { id, steps } = seen.rules.figures[place];
  const { value, extent } = takenAt(seen, place);
  if (extent !== EXACT) return [id, null, ""];
  return [id, Number(value[0]), steps[Number(value[0]) - 1]?.name ?? ""];
}
