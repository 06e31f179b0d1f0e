// The fields of the bench form as typed, read into a fruit as the server reads them: the fruit, or for each refused field
// what is said beside it, or null where only the server can tell. Nothing is taken that the server would refuse.
import { readFigure, readStage, readWeight } from "./amounts.js";
import { plain } from "./fractions.js";
import { borneOut } from "./judge.js";
import { nameOf } from "./reasons.js";
import { Refused, shown, strip } from "./refusal.js";
import { say, sayArea, sayWeight } from "./say.js";
import { seenOf } from "./seen.js";
import { blemishSurface } from "./surface.js";
import { marksOf } from "./typed-marks.js";

// Latin letters, signs and spaces. What is typed in other scripts is the server's to read.
const READABLE = /^[\x01-\u024f\u2000-\u209f\u2100-\u214f\u2212\u3000\ufeff]*$/;
const HUGE_DG = 1000000;
const BP = 10000;

export function readTyped(rules, typed) {
  if (!textsOf(typed).every((text) => READABLE.test(text))) return null;
  const errors = {};
  let meant = "";
  const note = (field, read) => {
    try {
      return read();
    } catch (refusal) {
      if (!(refusal instanceof Refused)) throw refusal;
      errors[field] = refusal.message;
      if (field === "weight") meant = refusal.meant;
      return null;
    }
  };
  const { reading } = rules;
  const weight = note("weight", () => readWeight(typed.weight, reading));
  const stage = note("stage", () => stageOf(typed.stage ?? "", reading));
  const defects = defectsOf(rules, typed, weight, errors, note);
  const measures = measuresOf(rules, typed.measures ?? {}, note);
  if (weight === null) return { errors, meant };
  const code = strip(typed.size_code ?? "") || null;
  const fruit = { weight_dg: plain(weight), stage, defects, looked_for: null, measures, size_code: code };
  note("size_code", () => refuseOtherSize(rules, fruit));
  return Object.keys(errors).length ? { errors, meant } : { fruit };
}

function textsOf({ weight, stage = "", size_code: code = "", marks = {}, ticked = [], states = {}, measures = {} }) {
  const names = [marks, states, measures].flatMap(Object.keys);
  return [weight, stage, code, ...ticked, ...names, ...[marks, measures].flatMap(Object.values)];
}

function stageOf(text, reading) {
  const { stages, needed } = reading.stage;
  if (!strip(text)) {
    if (needed) throw new Refused("The spec judges this fruit by its colour: choose a colour stage.");
    return null;
  }
  if (!stages.length) throw new Refused(`${reading.fruit} has no colour scale here; leave the colour stage empty.`);
  return Number(readStage(text, reading));
}

// What else was taken of this fruit; nothing typed means not taken.
function measuresOf({ reading, measures }, typed, note) {
  return Object.keys(typed).sort().flatMap((name) => {
    const value = note(name, () => {
      if (!Object.hasOwn(reading.measures, name)) {
        throw new Refused(`${reading.fruit} has no measure ${shown(name)} of a single fruit; choose one that is shown.`);
      }
      return strip(typed[name]) ? readFigure(typed[name], reading.measures[name], measures[name]) : null;
    });
    return value === null ? [] : [[name, plain(value)]];
  });
}

function defectsOf(rules, { marks = {}, ticked = [], states = {} }, weight, errors, note) {
  const { reading } = rules;
  const named = [...Object.keys(marks), ...ticked, ...Object.keys(states)];
  for (const name of named.filter((each) => !reading.kinds.some(({ id }) => id === each))) {
    errors[name] = `${reading.fruit} has no defect kind ${shown(name)}; choose one that is shown.`;
  }
  const isTouched = (id) => Object.hasOwn(marks, id) || ticked.includes(id) || statesOf(states, id).length > 0;
  const surface = blemishSurface(rules, weight ?? BigInt(reading.weight.heaviest_dg ?? HUGE_DG));
  const defects = reading.kinds.filter(({ id }) => isTouched(id)).flatMap((kind) => {
    const { id } = kind;
    const own = {
      text: strip(Object.hasOwn(marks, id) ? marks[id] : ""),
      ticked: ticked.includes(id),
      states: reading.states_of.includes(id) ? statesOf(states, id) : null,
    };
    return marksOf({ ...kind, name: nameOf(rules, id) }, own, reading, surface, note);
  });
  if (weight !== null) refuseTooMuch(defects, surface, errors);
  return defects;
}

const statesOf = (states, id) => (Object.hasOwn(states, id) ? [...new Set(states[id])].sort() : []);

// Blemishes lie side by side: together they cannot cover more than the fruit has.
function refuseTooMuch(defects, surface, errors) {
  const covers = (mark) => BigInt(mark.area_mm2 ?? 0) * BigInt(BP) + BigInt(mark.share_bp ?? 0) * surface;
  const covered = defects.reduce((sum, mark) => sum + covers(mark), 0n);
  if (covered <= surface * BigInt(BP) || Object.keys(errors).length) return;
  const last = defects.findLast((mark) => mark.area_mm2 !== null || mark.share_bp !== null);
  const found = `Together that is more than the whole surface of this fruit, ${sayArea(surface)}`;
  errors[last.kind] = `${found}; at most that much is accepted.`;
}

// What was found and which sizes are accepted; by the figure that the size table goes by.
function refuseOtherSize(rules, fruit) {
  const code = fruit.size_code;
  const { sizes, sized } = seenOf(rules, fruit);
  if (code === null || borneOut(rules, sizes, code) !== null) return;
  const { name, unit, codes: every } = rules.sizes;
  if (sized === null) throw new Refused(`${shown(code)} is no size of this spec; ${every.join(" or ")} is accepted.`);
  const said = name ? `${say(sized, unit)} ${name}` : sayWeight(fruit.weight_dg);
  const { codes } = sizes;
  const accepted = codes.length ? `size ${codes.join(" or ")} is accepted` : "it has no size code, leave this empty";
  throw new Refused(`A fruit of ${said} is not size ${shown(code)}; ${accepted}.`);
}
