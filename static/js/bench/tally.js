// The class mix, "23 of 50" and the number of the next fruit as they stand with what this tablet has measured and the
// drawn page does not count yet. The page says up to which fruit it counts, and of the newest which it knows.

import { fraction } from "../grading/fractions.js";
import { digits } from "../grading/say.js";
import { isKeptPage } from "./place.js";
import * as store from "./store.js";

const COUNTS = ["waiting", "sent"];

let stored = []; // of this sample, as this browser keeps it
const pending = new Map(); // on their way to the disk

const entries = () => [...stored, ...pending.values()];
export const entryOf = (key) => entries().find((each) => each.key === key);

// The newest fruit of this sample that waits here and counts.
export function newestWaiting() {
  const undone = voided();
  return entries().findLast((each) => each.fields && each.state === "waiting" && !undone.has(each.key));
}

const voided = () => new Set(entries().filter((each) => each.voids && COUNTS.includes(each.state)).map((each) => each.voids));

// What the drawn page does not count: by class, in all, and how many of these the server has not named back.
function beyond(drawnTo, rowOf) {
  const undone = voided();
  const found = { classes: {}, counted: 0, measured: 0, unsent: 0 };
  const add = (word, by) => {
    found.classes[word] = (found.classes[word] ?? 0) + by;
    found.counted += by;
  };
  for (const each of entries().filter(({ fields, state }) => fields && COUNTS.includes(state))) {
    const row = rowOf(each.key);
    const isOff = undone.has(each.key);
    if (row) {
      if (isOff && !row.classList.contains("voided")) add(row.dataset.class, -1);
    } else if (each.state === "waiting" || each.answer.number > drawnTo) {
      found.measured += 1;
      if (!isOff) add(each.answer?.class_word || each.told?.class_word, 1);
      if (!isOff && each.state === "waiting") found.unsent += 1;
    }
  }
  return found;
}

const written = (number) => digits(fraction(number));

let measuredHere = 0;

// The number that the fruit measured next will have, if nobody else measures of this sample.
export const nextNumber = () => Number(document.getElementById("next").dataset.number) + measuredHere;

function tell(after, name, className, words) {
  after.parentElement.querySelector(`.${className}`)?.remove();
  if (!words) return;
  const made = document.createElement(name);
  made.className = className;
  made.textContent = words;
  after.after(made);
}

// roots: where to look, what is about to be drawn first.
export function count(roots = [document]) {
  const find = (selector) => roots.map((root) => root.querySelector(selector)).find(Boolean);
  const side = find("#bench-side");
  if (!side) return;
  const rowOf = (key) => find(`#fruit-items > [data-key="${key}"], li[data-key="${key}"]`);
  const { classes, counted, measured, unsent } = beyond(Number(side.dataset.fruit), rowOf);
  measuredHere = measured;
  const next = side.querySelector("#next");
  next.textContent = `fruit ${Number(next.dataset.number) + measured}, ${next.dataset.from}`;
  const progress = side.querySelector("[data-counted]");
  progress.textContent = written(Number(progress.dataset.counted) + counted);
  side.querySelectorAll("dd[data-count]").forEach((each) => {
    each.textContent = written(Number(each.dataset.count) + (classes[each.previousElementSibling.textContent] ?? 0));
  });
  const waits = unsent ? `${written(unsent)} not sent yet` : "";
  tell(side.querySelector(".progress"), "p", "unsent", waits);
  const more = isKeptPage && measured > unsent ? `${written(measured)} more since this page was kept` : waits;
  const from = side.querySelector(".drawn-from");
  from.querySelector(".unsent-too")?.remove();
  if (more) {
    const made = document.createElement("span");
    made.className = "unsent-too";
    made.textContent = `, and ${more}`;
    from.append(made);
  }
}

export async function recount() {
  const { sample, mark } = document.getElementById("fruit-form").dataset;
  stored = (await store.ofMark(mark)).filter((each) => String(each.sample) === sample);
  stored.forEach(({ key }) => pending.delete(key));
  count();
}

// Before the disk has it.
export function countAtOnce(entry) {
  pending.set(entry.key, { ...entry, state: "waiting" });
  count();
}

export function forget({ key }) {
  pending.delete(key);
  count();
}
