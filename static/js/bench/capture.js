// The bench's form: a fruit is kept on this tablet first, then the form stands empty for the next one, then the fruit is
// sent. Undo is kept the same way. Where the browser cannot keep anything the form is sent at once, as without a script.

import { emptyForNext } from "../focus-next.js";
import { fruitIsOpen } from "../half-typed.js";
import { fieldOf, fill, fruitOf, voidingOf } from "./entries.js";
import { link, send } from "./queue.js";
import * as store from "./store.js";
import { verdictOf } from "./verdict.js";

const SECOND_PRESS = 1_000;
const SAY_KEPT_AFTER = 300;
const LONG_ENOUGH = 3_000;

let keptAt = 0;
let last = null; // the fruit kept last on this page
let corrects = ""; // the id of a refused fruit that stands in the form again
let isMarked = false; // the form was drawn with what is wrong in it
let sayTimer = 0;

const form = () => document.getElementById("fruit-form");

function say(words) {
  const said = document.getElementById("said");
  if (said) said.textContent = words;
}

const stop = (event) => { event.preventDefault(); event.stopImmediatePropagation(); };

function goesAround(element) {
  const plain = "plain" in element.dataset;
  delete element.dataset.plain;
  return plain;
}

function sendAsForm(form, submitter = null) {
  form.dataset.plain = "";
  form.requestSubmit(submitter);
}

// Before anybody else hears of it (once.js waits at the document).
addEventListener("submit", (event) => {
  const { target, submitter } = event;
  if (goesAround(target)) return;
  if (target.id === "fruit-form") {
    if (submitter?.name !== "put" && !submitter?.hasAttribute("formaction")) keep(event);
  } else if (target.closest("#bench") && /\/voiding$/.test(target.getAttribute("action") ?? "")) keepUndo(event);
}, { capture: true });

// The buttons that go on to another bin send by themselves when they are pressed.
addEventListener("click", (event) => {
  const button = event.target.closest?.("#fruit-form button[formaction]");
  if (!button || goesAround(button)) return;
  stop(event);
  leaveDraw(button);
}, { capture: true });

async function keep(event) {
  const here = form();
  if (!fruitIsOpen()) {
    // The second of two taps finds the form empty; an empty form by itself is told what it lacks, by the server.
    if (Date.now() - keptAt < SECOND_PRESS) stop(event);
    return;
  }
  stop(event);
  if ("keeping" in here.dataset) return;
  here.dataset.keeping = "";
  const entry = fruitOf(here);
  try {
    await store.add(entry, corrects);
  } catch {
    say("This browser cannot keep fruit. It is sent at once, and needs the shed's computer.");
    sendAsForm(here);
    return;
  } finally {
    delete here.dataset.keeping;
  }
  corrects = "";
  keptAt = Date.now();
  last = entry;
  unmark(here);
  emptyForNext(here);
  document.dispatchEvent(new CustomEvent("queue:changed"));
  sayKept(entry);
  send();
}

// The class comes in a moment where the server answers; only where it does not is the fruit told as kept.
function sayKept(entry) {
  clearTimeout(sayTimer);
  sayTimer = setTimeout(async () => {
    if (last?.key === entry.key) showKept(entry, await verdictOf(entry));
  }, ["none", "door", "fault"].includes(link.state) ? 0 : SAY_KEPT_AFTER);
}

function element(name, className, ...children) {
  const made = document.createElement(name);
  made.className = className;
  made.append(...children);
  return made;
}

function showKept(entry, { classWord, line }) {
  const word = element("p", `class-word${classWord.length > 9 ? " long" : ""}`, classWord);
  document.getElementById("last")?.replaceChildren(element("section", "last-fruit", word, element("p", "last-line", line)));
  const button = element("button", "button plain", "Undo");
  const undo = element("form", "", button);
  undo.method = "post";
  undo.action = "/fruit/0/voiding";
  undo.dataset.undoes = entry.key;
  document.querySelector(".bench-undo")?.remove();
  const line2 = element("div", "undo", element("p", "", "Kept on this tablet."), undo);
  document.querySelector(".bench-about")?.prepend(element("div", "bench-undo", line2));
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
    const reason = target.querySelector("[name=reason]")?.value ?? "undone at the bench";
    if (!(await store.hasVoiding(fruit.key))) await store.add(voidingOf(form(), fruit, reason));
    if (fruit.state !== "sent" || link.state === "none") showUndone(fruit);
    document.dispatchEvent(new CustomEvent("queue:changed"));
    send();
  } catch {
    if (target.dataset.undoes) say("Not undone: this browser cannot keep it. Try again.");
    else sendAsForm(target); // measured on another tablet: the server knows it, this one does not
  }
}

function showUndone(fruit) {
  last = null;
  const told = element("p", "last-line", element("b", "", "Undone: "), `${fruit.words}. It counts no longer.`);
  document.getElementById("last")?.replaceChildren(told);
  document.querySelector(".bench-undo")?.replaceChildren();
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
  if (waiting.length === 0) {
    button.dataset.plain = "";
    button.click();
  } else if (!goToBinHere(here, button)) say(`Not gone on: the shed's computer does not answer, and ${waiting.length} fruit of this one are not sent yet. Go on measuring from here.`);
}

// Without the server the tablet goes to a bin of the receipt by itself, where it has their list.
function goToBinHere(here, button) {
  const bins = [...(here.querySelector("select[name=to_bin]")?.options ?? [])].filter((each) => each.value);
  const hidden = (name) => here.elements.namedItem(name);
  const at = bins.findIndex((each) => each.value === hidden("bin").value);
  const chosen = /\/bins$/.test(button.getAttribute("formaction"))
    ? bins.find((each) => each.selected)
    : bins[at < 0 ? 1 : at + 1];
  if (!chosen) return false;
  hidden("bin").value = chosen.value;
  hidden("draw").value = "";
  here.querySelector("select[name=to_bin]").value = "";
  const next = document.querySelector(".next-fruit");
  if (next) next.textContent = `Next: ${chosen.textContent.trim()}`;
  say(`Now ${chosen.textContent.trim()}. The shed's computer is told when it answers.`);
  return true;
}

// What is wrong with a fruit that was refused goes with it; the drawings it took the place of come back with the next page.
function unmark(here) {
  isMarked = Boolean(here.querySelector("[name=refused]"));
  if (!isMarked) return;
  here.querySelectorAll("[name=refused], .error, .key-error").forEach((each) => each.remove());
  here.querySelectorAll(".has-error").forEach((each) => each.classList.remove("has-error"));
  here.querySelectorAll("[aria-invalid]").forEach((each) => { each.removeAttribute("aria-invalid"); each.removeAttribute("aria-describedby"); });
  document.querySelector("#last .errors")?.remove();
}

document.addEventListener("queue:answers", async ({ detail }) => {
  const here = form();
  if (!here) return;
  const answers = new Map(detail.answers.map((each) => [each.key, each]));
  const mine = last && answers.get(last.key);
  if (mine?.answer === "refused" && !detail.elsewhere && !fruitIsOpen() && Object.keys(mine.errors).length) return putBack(here, last);
  if (detail.answers.some((each) => each.number)) await catchUp(here, mine);
  return undefined;
});

// The form is still empty: the fruit stands in it again, with what is wrong beside its fields, as the server draws it.
function putBack(here, entry) {
  clearTimeout(sayTimer);
  fill(here, entry);
  here.elements.namedItem("entry_key").value = entry.key;
  corrects = entry.key;
  last = null;
  document.activeElement?.blur(); // or the new form would be scrolled to where the old one was typed into
  sendAsForm(here, here.querySelector("button[type=submit]:not([formaction])"));
}

async function catchUp(here, mine) {
  if (mine) clearTimeout(sayTimer);
  const { sample } = here.dataset;
  if (isMarked && !fruitIsOpen()) {
    isMarked = false;
    await htmx.ajax("GET", `/samples/${sample}`, { target: "#bench", swap: "outerHTML" });
    return;
  }
  await htmx.ajax("GET", `/samples/${sample}/side?draw=${drawOf(here, mine)}`, { target: "#bench-side", swap: "outerHTML" });
}

// The draw that the fruit went into, unless somebody has gone on to another meanwhile.
function drawOf(here, mine) {
  const hidden = (name) => here.elements.namedItem(name)?.value ?? "";
  const stayed = mine && last?.fields && ["draw", "bin"].every((name) => hidden(name) === fieldOf(last, name));
  return stayed ? mine.draw : hidden("draw");
}

// Where the server took it after all, as the form, it has it: sent once more, its id is named back.
document.addEventListener("htmx:after:swap", async () => {
  if (!corrects || fruitIsOpen() || document.querySelector("#bench [name=refused]")) return;
  await store.changeAll([[corrects, { state: "waiting", answer: null }]]);
  corrects = "";
  send();
});

// Never under the hands of somebody who has begun to type.
document.addEventListener("htmx:before:swap", (event) => {
  const whole = event.detail.ctx.request?.method === "GET" && event.detail.ctx.target?.id === "bench";
  if (whole && fruitIsOpen()) event.preventDefault();
});

// A sign-in that has ended is asked for again; what was kept is sent after it.
document.addEventListener("queue:changed", () => {
  if (form() && link.state === "door" && link.door && !fruitIsOpen()) location.assign(link.door);
});

// "Put it right" on the page of what is not sent leads here with the id of the fruit.
async function putRight(key) {
  history.replaceState(history.state, "", location.pathname);
  const entry = await store.withKey(key);
  if (entry?.fields && entry.state === "stuck" && !fruitIsOpen()) putBack(form(), entry);
}

const again = new URLSearchParams(location.hash.slice(1)).get("again");
if (again && form()) putRight(again);
