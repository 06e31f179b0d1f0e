// The bench's form: the fruit is judged on this tablet and shown, kept on it, then the form stands empty for the next one,
// then the fruit is sent. The server's answer confirms it, or is shown instead. Undo is kept the same way. Where the browser
// cannot keep anything the form is sent at once, as without a script.

import { emptyForNext } from "../focus-next.js";
import { fruitIsOpen } from "../half-typed.js";
import { fieldOf, fill, fruitOf, voidingOf } from "./entries.js";
import { follow, goTo, isAt, openPlace, placeIn, stay } from "./place.js";
import { link, send } from "./queue.js";
import { mark, unmark, unmarkTouched } from "./refusals.js";
import { askForRules, askIfOthers, openRules } from "./rules.js";
import * as store from "./store.js";
import { count, countAtOnce, entryOf, forget, newestWaiting, nextNumber, recount } from "./tally.js";
import { besideLast, isOwn, offerUndo, say, showFruit, showKept, showNotSaved, showUndone } from "./told.js";
import { isSame, verdictOf, warmUp } from "./verdict.js";

const SECOND_PRESS = 1_000;
const LONG_ENOUGH = 3_000;

let keptAt = 0;
let last = null; // the fruit of this tablet that is shown
let corrects = ""; // the id of a refused fruit that stands in the form again

const form = () => document.getElementById("fruit-form");
const hidden = (name) => form().elements.namedItem(name);
const stop = (event) => { event.preventDefault(); event.stopImmediatePropagation(); };

function goesAround(element) {
  const plain = "plain" in element.dataset;
  delete element.dataset.plain;
  return plain;
}

function sendAsForm(form) {
  form.dataset.plain = "";
  form.requestSubmit();
}

// Before anybody else hears of it (once.js waits at the document).
addEventListener("submit", (event) => {
  const { target, submitter } = event;
  if (goesAround(target)) return;
  if (target.id === "fruit-form") {
    if (submitter?.name === "put") putIn(event);
    else if (!submitter?.hasAttribute("formaction")) keep(event);
  } else if (target.closest("#bench") && /\/voiding$/.test(target.getAttribute("action") ?? "")) keepUndo(event);
}, { capture: true });

// The buttons that go on to another bin send by themselves when they are pressed.
addEventListener("click", (event) => {
  const button = event.target.closest?.("#bench button[formaction]");
  if (!button || goesAround(button)) return;
  stop(event);
  leaveDraw(button);
}, { capture: true });

// What is typed is another fruit than the one whose class stands there, and says so.
["input", "change"].forEach((each) => document.addEventListener(each, ({ target }) => {
  if (!form()?.contains(target)) return;
  unmarkTouched(form(), target);
  document.getElementById("last").toggleAttribute("data-before", fruitIsOpen());
}));

// "Did you mean 412 g?" answered with yes.
function putIn(event) {
  stop(event);
  const weight = hidden("weight");
  weight.value = event.submitter.value;
  unmark(form());
  besideLast(null);
  weight.dispatchEvent(new Event("input", { bubbles: true }));
  weight.focus({ preventScroll: true });
}

async function keep(event) {
  const here = form();
  const isOpen = fruitIsOpen();
  // The second of two taps finds the form empty.
  if ("keeping" in here.dataset || (!isOpen && Date.now() - keptAt < SECOND_PRESS)) return stop(event);
  const entry = fruitOf(here);
  const found = verdictOf(entry);
  if (!isOpen && !found) return undefined; // what an empty form lacks the server says
  stop(event);
  if (found?.errors) return refuse(found);
  const number = nextNumber();
  entry.told = found?.words ?? null;
  const before = document.getElementById("last").cloneNode(true);
  show(entry);
  if (entry.told) say(`Fruit ${number}: ${entry.told.class_word}, ${entry.told.sizes_and_count}`, true);
  countAtOnce(entry);
  here.dataset.keeping = "";
  try {
    if (!(await stored(entry))) return decidedAlready(entry, before);
  } catch {
    takeBack(entry, before);
    say("This browser cannot keep fruit. It is sent at once, and needs the shed's computer.");
    return sendAsForm(here);
  } finally {
    delete here.dataset.keeping;
  }
  setCorrects("");
  keptAt = Date.now();
  unmark(here);
  emptyForNext(here);
  document.dispatchEvent(new CustomEvent("queue:changed"));
  send();
  return undefined;
}

const stored = (entry) => (corrects ? store.replace({ key: corrects, state: "stuck" }, entry) : store.add(entry));

function takeBack(entry, before) {
  forget(entry);
  last = null;
  document.getElementById("last").replaceWith(before);
  besideLast(null);
}

// In another window, or by leaving it out: the same fruit is not to be there twice.
function decidedAlready(entry, before) {
  takeBack(entry, before);
  setCorrects("");
  say("Not kept: this fruit was decided about already, on the page of what is not sent. If it is another one, judge it again.");
}

// For those who lay something over the keys.
const judged = () => document.dispatchEvent(new CustomEvent("bench:judged"));

function show(entry) {
  judged();
  last = entry;
  if (entry.told) showFruit(entry.told);
  else showKept(entry);
  offerUndo(entry.key);
}

// It is not kept: what was typed stays, to be put right. The rules may have changed meanwhile.
function refuse(found) {
  judged();
  last = null;
  mark(form(), found);
  askForRules();
}

async function keepUndo(event) {
  const { target } = event;
  stop(event);
  try {
    const id = Number(target.getAttribute("action").split("/")[2]);
    const { sample, mark } = form().dataset;
    const fruit = target.dataset.undoes
      ? await store.withKey(target.dataset.undoes)
      : await store.ofFruit(id, mark);
    if (!fruit || String(fruit.sample) !== sample) throw new Error("not kept here");
    const reason = target.querySelector("[name=reason]").value;
    if (!(await store.hasVoiding(fruit.key))) await store.add(voidingOf(form(), fruit, reason));
    last = null;
    showUndone(`${fruit.words}. It counts no longer.`);
    besideLast(null);
    say(`Undone: ${fruit.words}. It counts no longer.`, true);
    document.dispatchEvent(new CustomEvent("queue:changed"));
    send();
  } catch {
    if (target.dataset.undoes) say("Not undone: this browser cannot keep it. Try again.");
    else sendAsForm(target); // measured on another tablet: the server knows it, this one does not
  }
}

async function waitingOf(here) {
  const waiting = await store.withState("waiting").catch(() => []);
  return waiting.filter((each) => String(each.sample) === here.dataset.sample);
}

// Which bin comes next the server says: first it is to have what was taken from this one.
async function leaveDraw(button) {
  const here = form();
  if ((await waitingOf(here)).length) await Promise.race([send(), new Promise((resolve) => { setTimeout(resolve, LONG_ENOUGH); })]);
  const waiting = await waitingOf(here);
  if ((waiting.length || link.state === "none") && goToBinHere(here, button)) return;
  if (waiting.length) {
    say(`Not gone on: the shed's computer does not answer, and ${waiting.length} fruit of this one are not sent yet. Go on measuring from here.`);
  } else {
    button.dataset.plain = "";
    button.click();
  }
}

// Without the server the tablet goes to a bin of the receipt by itself, where it has their list.
function goToBinHere(here, button) {
  const bins = [...here.querySelectorAll("button[name=to_bin]")];
  const at = (value) => bins.findIndex((each) => each.value === value);
  const chosen = bins[button.name === "to_bin" ? at(button.value) : at(placeIn().bin) + 1];
  if (!chosen) return false;
  const words = chosen.textContent.trim();
  goTo(chosen.value, words);
  last = null;
  besideLast(null); // a hurried hand would undo the fruit, meaning the bin
  count();
  say(`Now ${words}. The shed's computer is told when it answers.`);
  return true;
}

document.addEventListener("queue:answers", async ({ detail }) => {
  if (!form()) return;
  const mine = last && detail.answers.find((each) => each.key === last.key);
  detail.answers.forEach((each) => (each === mine ? tellOfLast(last, each) : tellDifference(entryOf(each.key), each, detail.elsewhere)));
  if (detail.answers.some((each) => each.number)) await catchUp(detail.answers);
});

const inShort = ({ class_word: word, sizes_and_count: sizes }) => `${word}, ${sizes}`;

// What became of the fruit that is shown.
function tellOfLast(entry, answer) {
  if (answer.number && answer.class_word) {
    if (!entry.told) say(`Fruit ${answer.number}: ${inShort(answer)}`, true);
    if (!entry.told) showFruit(answer);
    else if (!isSame(entry.told, answer)) showOther(entry.told, answer);
    last = { ...entry, told: answer };
    offerUndo(entry.key, answer.fruit, answer.number);
  } else if (answer.answer === "refused" && !fruitIsOpen() && Object.keys(answer.errors).length) {
    putBack(entry, answer);
  } else if (answer.answer !== "again") {
    last = null;
    showNotSaved(`${entry.words}. ${answer.says}`);
    besideLast(null);
  }
}

function showOther(told, answer) {
  const before = inShort(told) === inShort(answer) ? `${inShort(told)}, for another reason` : inShort(told);
  const differs = `The shed's computer goes by newer rules. This tablet had said: ${before}.`;
  showFruit(answer, differs);
  say(`Fruit ${answer.number}: ${inShort(answer)}. ${differs}`, true);
}

// Of a fruit that has left the eye it is said in the status line.
function tellDifference(entry, answer, elsewhere) {
  if (elsewhere || !entry?.told || !answer.class_word || isSame(entry.told, answer)) return;
  say(`Fruit ${answer.number} is ${inShort(answer)}, by newer rules of the shed's computer. This tablet had said: ${inShort(entry.told)}.`);
}

// The form is still empty: the fruit stands in it again, with what is wrong beside its fields.
function putBack(entry, answer) {
  fill(form(), entry);
  setCorrects(entry.key);
  refuse(answer);
}

// It is kept already: left half-typed, the server is not to give it back as another fruit (half-typed.js).
function setCorrects(key) {
  corrects = key;
  form().toggleAttribute("data-corrects", key !== "");
}

let catching = false;
let again = null; // the answers to catch up with
let askedAt = null; // where the bench was when it asked

// One after the other, the newest last.
async function catchUp(answers) {
  again = answers;
  if (catching) return;
  catching = true;
  try {
    while (again) {
      const draw = drawOf(again);
      again = null;
      askedAt = placeIn();
      await htmx.ajax("GET", `/samples/${form().dataset.sample}/side?draw=${draw}`, { target: "#bench-side", swap: "outerHTML" });
    }
  } finally {
    catching = false;
  }
}

// That of the place the bench stands at, once a fruit taken there has opened it.
function drawOf(answers) {
  const here = placeIn();
  const isFromHere = (entry) => entry?.fields && isAt(here, { draw: fieldOf(entry, "draw"), bin: fieldOf(entry, "bin") });
  return answers.findLast((each) => each.draw && isFromHere(entryOf(each.key)))?.draw ?? here.draw;
}

function keepOwn(side) {
  side.querySelector("#last").replaceWith(document.getElementById("last"));
  side.querySelectorAll(".bench-undo").forEach((each) => each.remove());
  side.querySelector(".bench-about").prepend(...document.querySelectorAll(".bench-undo"));
  side.querySelector(".undo")?.removeAttribute("data-changed"); // it flashed when it came
}

// Whatever is drawn counts what is not sent yet, before the eye has it; the fruit of this tablet stays as it is shown.
document.addEventListener("htmx:before:swap", (event) => {
  const { ctx, tasks } = event.detail;
  const fragments = tasks.map((each) => each.fragment);
  const side = fragments.map((each) => each.querySelector("#bench-side")).find(Boolean);
  if (!side) return;
  const onlySide = ctx.request?.method === "GET";
  if (onlySide && !isAt(askedAt, placeIn())) { // the hand is at another bin by now
    event.preventDefault();
    again ??= [];
    return;
  }
  if (onlySide && isOwn()) keepOwn(side);
  else last = null;
  if (onlySide) stay(side);
  else follow(side);
  count([...fragments, document]);
});

document.addEventListener("htmx:after:swap", () => {
  if (!form()) return;
  setCorrects(fruitIsOpen() ? corrects : "");
  askIfOthers();
});

document.addEventListener("queue:changed", () => {
  recount().catch(() => {});
  if (link.state === "there") askIfOthers();
  // A sign-in that has ended is asked for again; what was kept is sent after it.
  if (link.state === "door" && link.door && !fruitIsOpen()) location.assign(link.door);
});

// "Put it right" on the page of what is not sent leads here with the id of the fruit.
async function putRight(key) {
  history.replaceState(history.state, "", location.pathname);
  const entry = await store.withKey(key);
  if (entry?.fields && entry.state === "stuck" && !fruitIsOpen()) putBack(entry, entry.answer);
}

async function open() {
  openPlace();
  const wrong = new URLSearchParams(location.hash.slice(1)).get("again");
  if (wrong) return putRight(wrong);
  await recount();
  const waits = newestWaiting();
  return waits && !last && !fruitIsOpen() && show(waits);
}

if (form()) {
  openRules().then(() => (globalThis.requestIdleCallback ?? setTimeout)(warmUp));
  open().catch(() => {});
}
