// Why a fruit missed a class, and what was not judged: the figures, and the same in words.
import { against, isOver } from "./bounds.js";
import { missingOf, takenAt } from "./figures.js";
import { plainPair, reduced } from "./fractions.js";
import { deciding, unsure } from "./limits.js";
import { digits, listed, say } from "./say.js";
import { lookedUp } from "./sizes.js";
import { EXACT } from "./taken.js";

const STATE_OF = "state of ";

export function nameOf(rules, id) {
  return rules.names[id] ?? id;
}

// The first way, with the others, which are broken too.
export function reasonOf(ruling, classId, size, seen) {
  const limit = seen.rules.limits[ruling[0]];
  const [first, ...others] = deciding(ruling, seen).map(({ row }) => wayOf(row, limit, classId, size, seen));
  return { ...first, clause: [first, ...others].map((way) => way.clause).join(" and "), others };
}

function wayOf(row, limit, classId, size, seen) {
  const figure = seen.rules.figures[row.at];
  const { value, extent, kinds, most } = takenAt(seen, row.at);
  const [found, known] = most && !isOver(row, value) ? [most, true] : [value, extent === EXACT];
  const way = {
    class_id: classId,
    limit_id: limit.id,
    limit_name: limit.name,
    kinds,
    value: plainPair(found),
    at_least: !known,
    allowed: row.to,
    size_code: row.sized ? size : null,
    variety: row.variety ?? null,
    guards: row.guards ?? "",
    sized_by: figure.take === "codes" && seen.sized ? plainPair(seen.sized) : null,
  };
  return { ...way, clause: clauseOf(way, row, figure, reduced(found), seen) };
}

// What stopped it: "sap stain 4.6 cm² is over 4 cm² for size B".
function clauseOf(way, row, figure, value, seen) {
  if (figure.take === "codes") return saySizes(row, value, seen);
  const whom = [...(way.size_code ? [`size ${way.size_code}`] : []), ...(way.variety ? [way.variety] : [])];
  const said = sayBroken(way, row, figure, value, seen.rules);
  return `${said}${whom.length ? ` for ${whom.join(" and ")}` : ""}${way.guards && ", "}${way.guards}`;
}

function sayBroken(way, row, figure, value, rules) {
  const least = way.at_least ? "at least " : "";
  if (figure.take === "severity") {
    return `${figure.name} is ${sayStep(figure, value)}${least && " or worse"}, ${row.allowed}`;
  }
  if (figure.of) return `${figure.before}${least}${sayValue(figure, value)}${row.known ?? ""} ${sayAgainst(way, row, figure, value)}`;
  const measured = `${least}${say(value, figure.unit)}`;
  if (!way.kinds.length) return `${way.limit_name} ${measured} ${sayAgainst(way, row, figure, value)}`;
  const marks = listed(way.kinds.map((kind) => nameOf(rules, kind))) + (figure.that ?? "");
  if (figure.take === "present" && row.nil) return `it has ${marks}`;
  if (!value[0]) return `${marks} was seen, not measured, and none is allowed`;
  return `${sayMarks(figure, marks, way.kinds.length > 1, measured)} ${sayAgainst(way, row, figure, value)}`;
}

function sayStep(severity, value) {
  return severity.steps[Number(value[0]) - 1]?.name ?? `step ${value[0]}`;
}

function sayValue(figure, value) {
  if (figure.take === "value" && figure.of.length === 1 && figure.of[0] === "colour stage") return String(value[0]);
  const said = say(value, figure.unit);
  return figure.bare && said.endsWith(figure.unit) ? said.slice(0, -figure.unit.length).trimEnd() : said;
}

function sayMarks(figure, marks, several, measured) {
  if (figure.take === "present") return `${marks}: ${measured} kinds of defect`;
  if (figure.take === "places") return `${marks}: ${measured} places`;
  const largest = figure.take === "largest";
  const names = largest ? `the largest ${several ? "of " : ""}${marks}` : `${marks}${several ? " together" : ""}`;
  return `${names} ${measured}${figure.behind ?? ""}`;
}

// How the figure stands to the end it broke: "is over 4 cm²", "is not under 35 %", "where none is allowed".
function sayAgainst(way, row, figure, value) {
  if (row.nil) return "where none is allowed";
  const isHigh = row.high && (isOver(row, value) || (way.at_least && against(value, row.high) === 0));
  const [end, said] = isHigh ? [row.high, row.over] : [row.low, row.under];
  if (!end[2] && against(value, end) === 0) return `is not ${isHigh ? "under" : "over"} ${said}`;
  const just = said === say(value, figure.unit) ? "just " : "";
  return `is ${just}${isHigh ? "over" : "under"} ${said}`;
}

function saySizes(row, value, seen) {
  const { sizes } = seen.rules;
  const among = `in ${value[0]} sizes, ${row.allowed} allowed`;
  if (!seen.sized) return `it is ${among}`;
  const name = sizes.name ? `${sizes.name} ` : "";
  const mass = sizes.in_mass ? `, ${digits(lookedUp(sizes, seen.sized), 2)} in ${sizes.in_mass},` : "";
  return `${name}${say(seen.sized, sizes.unit)}${mass} is ${value[0] ? among : `in no size: ${sizes.says}`}`;
}

// A limit that could not be judged, with what was not taken, each once.
export function notJudgedOf(ruling, seen) {
  const { id, name } = seen.rules.limits[ruling[0]];
  const missing = deciding(ruling, seen).flatMap((decided) => [
    ...(decided.row.unsaid ?? []),
    ...unsure(decided, seen).flatMap((place) => missingOf(seen.rules.figures[place], seen)),
  ]);
  const once = [...new Set(missing)];
  const words = once.map((each) => notTaken(seen.rules, each));
  const others = words.filter((word) => word !== name);
  const says = others.length ? `${name} (${listed(others)})` : name;
  return { limit_id: id, limit_name: name, missing: once, words, says };
}

function notTaken(rules, missing) {
  if (missing.startsWith(STATE_OF)) return `the state of ${nameOf(rules, missing.slice(STATE_OF.length))}`;
  return nameOf(rules, missing);
}
