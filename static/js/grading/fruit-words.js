// One judged fruit as the bench reads it.
import { fraction } from "./fractions.js";
import { nameOf } from "./reasons.js";
import { say, sayArea, sayWeight } from "./say.js";

const NO_CLASS = "No class";

export function wordsOf(rules, fruit, verdict) {
  const [facts, sizes, count] = [factsWords(rules, fruit), sizesWords(verdict), countWords(rules, verdict)];
  const both = count ? `${sizes}, ${count}` : sizes;
  return {
    class_word: verdict.class_name ?? NO_CLASS,
    facts,
    sizes,
    count,
    sizes_and_count: both,
    line: `${facts}. ${both[0].toUpperCase()}${both.slice(1)}`,
    why: whyOf(rules, verdict),
    not_judged: verdict.not_judged.map((limit) => limit.says),
    severities: severityWords(rules, verdict),
    says: sentenceOf(rules, verdict),
  };
}

// What was measured: "412 g, stage 3, sap stain 4.6 cm², rot".
export function factsWords(rules, fruit) {
  const stage = fruit.stage === null ? [] : [`stage ${fruit.stage}`];
  const taken = fruit.measures.map(([id, value]) => {
    const { name, unit, per } = rules.measures[id];
    return `${name} ${say(fraction(value, per), unit)}`;
  });
  const marks = fruit.defects.map((mark) => markWords(rules, mark));
  return [sayWeight(fruit.weight_dg), ...stage, ...taken, ...marks].join(", ");
}

function markWords(rules, mark) {
  const words = [nameOf(rules, mark.kind)];
  if (mark.area_mm2 !== null) words.push(sayArea(mark.area_mm2));
  if (mark.share_bp !== null) words.push(say(fraction(mark.share_bp, 10000), "%"));
  if (mark.length_dmm !== null) words.push(say(fraction(mark.length_dmm), "mm"));
  if (mark.places !== null) words.push(mark.places === 1 ? "in 1 place" : `in ${mark.places} places`);
  const states = [...(mark.states ?? [])].sort().map((state) => state.replaceAll("-", " ")).join(" and ");
  return states ? `${words.join(" ")} ${states}` : words.join(" ");
}

function sizesWords({ codes, judged_as: judgedAs }) {
  if (!codes.length) return "no size code";
  return codes.length === 1 ? `size ${codes[0]}` : `size ${codes.join(" and ")}, judged as ${judgedAs}`;
}

function countWords(rules, { class_id: classId, outlet, count, misfit }) {
  if (classId === null) return outlet ? rules.outlets.find((each) => each.id === outlet.id).goes : "";
  if (misfit) return rules.tray.misfits[misfit];
  return count === null ? "" : `count ${count}`;
}

// For each class missed, the nearest first: its name and everything that stopped it.
function whyOf(rules, { reasons }) {
  const clauses = (classId) => reasons.filter((each) => each.class_id === classId).map((each) => each.clause);
  const missed = rules.classes.map(({ id, name }) => [name, clauses(id).join(" and ")]);
  return missed.filter(([, clause]) => clause).reverse();
}

function severityWords(rules, { severities }) {
  const names = new Map(rules.severities.map((place) => [rules.figures[place].id, rules.figures[place].name]));
  const there = severities.filter(([, number]) => number !== 0);
  return there.map(([id, , name]) => `${names.get(id)}: ${name || "not known"}`);
}

// "Class II because sap stain 4.6 cm² is over 4 cm² for size B"
function sentenceOf(rules, verdict) {
  const { class_name: name, reasons, misfit, not_judged: notJudged } = verdict;
  const nearest = reasons.filter((each) => each.class_id === reasons.at(-1).class_id);
  const because = reasons.length ? ` because ${nearest.map((each) => each.clause).join(", and ")}` : "";
  const tray = misfit ? `${reasons.length ? ";" : ","} ${rules.tray.misfits[misfit]}` : "";
  const unjudged = notJudged.length ? `; not judged: ${notJudged.map((each) => each.limit_name).join(", ")}` : "";
  return `${name ?? NO_CLASS}${because}${tray}${unjudged}`;
}
