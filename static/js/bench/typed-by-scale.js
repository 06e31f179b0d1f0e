// A scale that types as a keyboard does sends its number to wherever the focus is. It is told from a hand by the gaps
// between its keys (scales and scanners: 11 to 20 ms, as measured; a quick hand: 80 ms), and only once Enter has come:
// what its keys did until then is taken back, and the number goes into the weight (scale-reading.js).

import { give } from "./scale-reading.js";

const MEAN_GAP = 35;
const LONGEST_GAP = 60;
const PRESS_AFTER = 200; // a busy tablet hands keys over later than the times they bear
const QUIET_BEFORE = 400; // a number that begins sooner after another key may be the end of one: its head would be lost
const FEWEST_SIGNS = 2;
const MOST_DIGITS = 6; // a scanned number is longer

// keys: [{ key, at }] in the order they came, at in milliseconds. What a scale typed, without its Enter; "" for a hand.
export function typedByScale(keys) {
  const signs = keys.slice(0, -1);
  if (keys.at(-1)?.key !== "Enter" || signs.length < FEWEST_SIGNS) return "";
  const gaps = keys.slice(1).map(({ at }, place) => at - keys[place].at);
  const mean = gaps.reduce((sum, gap) => sum + gap, 0) / gaps.length;
  if (mean > MEAN_GAP || Math.max(...gaps) > LONGEST_GAP) return "";
  const text = signs.map(({ key }) => key).join("").trim();
  const digits = text.replace(/[^0-9]/g, "").replace(/^0+(?=[0-9])/, "");
  return digits && digits.length <= MOST_DIGITS ? text : "";
}

const fields = () => [...document.querySelectorAll("input:not([type=hidden]), select, textarea")];

let run = [];
let before = [];
let lastAt = -Infinity;
let mayBeATail = false;

function remember() {
  before = fields().map((field) => ({ field, value: field.value, checked: field.checked }));
}

function changed({ field, value, checked }) {
  return ["radio", "checkbox"].includes(field.type) ? field.checked !== checked : field.value !== value;
}

// Values first: a defect's figure says that the defect was seen.
function takeBack() {
  const touched = before.filter(changed);
  touched.forEach(({ field, value }) => { if (field.value !== value) field.value = value; });
  touched.forEach(({ field, checked }) => { if (field.checked !== checked) field.checked = checked; });
  fields().filter((field) => field.dataset.seen !== undefined).forEach(lift);
  touched.forEach(({ field }) => { field.dispatchEvent(new Event("change", { bubbles: true })); });
}

function lift(seen) {
  const was = before.find(({ field }) => field === seen);
  if (was && seen.checked !== was.checked) seen.checked = was.checked;
}

// Space presses what has the focus, but waits for what comes next: a scale fills its number up with spaces.
let pressing = null;

function press() {
  if (!pressing) return;
  clearTimeout(pressing.timer);
  const { target } = pressing;
  pressing = null;
  target.click();
}

function pressLater(target) {
  if (pressing && pressing.target !== target) press();
  clearTimeout(pressing?.timer);
  pressing = { target, timer: setTimeout(press, PRESS_AFTER) };
}

const isPressed = (target) => target.matches?.("button, summary, input[type=checkbox], input[type=radio]");

function follow(event) {
  const { key, timeStamp: at } = event;
  if (event.ctrlKey || event.altKey || event.metaKey || event.repeat) { stop(); return; }
  if (key === "Enter") { end(event, [...run, { key, at }]); return; }
  if (key.length > 1) { if (key !== "Shift") stop(); return; }
  if (run.length === 0 || at - run.at(-1).at > LONGEST_GAP) {
    stop();
    remember();
    mayBeATail = at - lastAt < QUIET_BEFORE;
  }
  lastAt = at;
  run.push({ key, at });
  if (pressing) pressLater(pressing.target);
}

function stop() {
  run = [];
  press();
}

// Enter presses "Judge this fruit" where it stood in the weight all along, as it always did; elsewhere it only ends.
function end(event, keys) {
  const text = mayBeATail ? "" : typedByScale(keys);
  lastAt = -Infinity;
  if (!text) { stop(); return; }
  clearTimeout(pressing?.timer);
  pressing = null;
  run = [];
  takeBack();
  const taken = give({ text, from: "keyboard" });
  if (taken && event.target.matches("[data-pad-first]")) return;
  event.preventDefault();
  event.stopImmediatePropagation();
}

document.addEventListener("keydown", (event) => {
  if (!document.getElementById("fruit-form")) return;
  follow(event);
  if (event.key === " " && run.length && isPressed(event.target)) {
    event.preventDefault();
    pressLater(event.target);
  }
}, { capture: true });

document.addEventListener("keyup", (event) => {
  if (event.key === " " && document.getElementById("fruit-form") && isPressed(event.target)) event.preventDefault();
}, { capture: true });
