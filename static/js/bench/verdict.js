// What this tablet itself makes of a fruit as typed, by the rules of its sample.

import { fieldOf, typedOf } from "../grading/form-fields.js";
import { judge } from "../grading/judge.js";
import { readTyped } from "../grading/read-typed.js";
import { rulesHere } from "./rules.js";

// { words } as the bench says them; { errors, meant } by the form's fields; null where the server has to be asked.
export function verdictOf(entry) {
  const rules = rulesHere();
  try {
    const read = rules && readTyped(rules, typedOf(entry.fields));
    if (!read) return null;
    if (read.fruit) return { words: judge(rules, read.fruit).words };
    const errors = Object.entries(read.errors).map(([name, words]) => [fieldOf(rules, name), words]);
    return { errors: Object.fromEntries(errors), meant: read.meant };
  } catch (problem) {
    reportError(problem); // no fruit is lost for it
    return null;
  }
}

// The first fruit is not to wait until the browser has made the judge ready: it judges one of nobody's before.
export function warmUp() {
  const first = (selector) => document.querySelector(selector);
  verdictOf({ fields: [["weight", "300"], ["stage", first("[name=stage]")?.value ?? ""], [first(".key-entry input")?.name ?? "", "1"]] });
}

// What the bench shows of a fruit; of the server's answer to one as well.
const SHOWN = ["class_word", "line", "why", "not_judged"];

export const isSame = (told, answer) => SHOWN.every((each) => JSON.stringify(told[each]) === JSON.stringify(answer[each]));
