// A shed tablet that nobody touches says so, then locks and asks who is there. What stands half-typed on the page goes to
// the server, which gives it back to the same person (web/kept.py). A fruit on the scale is never interrupted: the tablet
// waits until it is saved. The server keeps the same time by itself (web/whoami.py); this only shows it.

import { halfTyped } from "./half-typed.js";

const after = Number(document.body.dataset.lockAfter) * 1000;
const warning = Math.min(60_000, after / 2);
const windows = new BroadcastChannel("touched");
let touched = Date.now();
let leaving = false;

const isTyped = (box) => (["radio", "checkbox"].includes(box.type) ? box.checked : box.value.trim() !== "");

function fruitIsOpen() {
  const form = document.getElementById("fruit-form");
  return form !== null && [...form.querySelectorAll("input:not([type=hidden])")].some(isTyped);
}

const alone = () => Date.now() - touched;
const isIdle = () => alone() > after;

function length(time) {
  const [count, unit] = time < 60_000 ? [Math.round(time / 1000), "second"] : [Math.round(time / 60_000), "minute"];
  if (count === 1) return `a ${unit}`;
  return `${count} ${unit}s`;
}

function say(words) {
  const said = document.getElementById("said");
  if (said && said.textContent !== words) said.textContent = words;
}

function warn() {
  const when = fruitIsOpen() ? "as soon as this fruit is saved" : `in ${length(warning)}`;
  say(`Nobody has touched this for ${length(after - warning)}. It locks ${when}.`);
}

// The answer says where the page goes on. Where none comes the page stays, and it is tried again: nothing typed is lost.
async function leave() {
  leaving = true;
  const form = new URLSearchParams({ next: location.pathname + location.search, why: "locked" });
  halfTyped().forEach(({ action, typed }) => { form.append("action", action); form.append("typed", typed); });
  try {
    const answer = await fetch("/locking", { method: "POST", body: form, headers: { "HX-Request": "true" } });
    const door = answer.headers.get("HX-Redirect");
    if (door) location.replace(door);
    else leaving = false;
  } catch {
    leaving = false;
  }
}

function lock() {
  if (isIdle() && !leaving && !fruitIsOpen()) leave();
}

function look() {
  if (alone() > after - warning) warn();
  lock();
}

function wake() {
  if (alone() > after - warning) say("");
  touched = Date.now();
}

// Once it is time to lock no touch puts it off: whoever comes back says who they are, after the fruit that is open.
function touch() {
  if (isIdle()) {
    lock();
    return;
  }
  if (alone() > 1_000) windows.postMessage("");
  wake();
}

if (after) {
  windows.onmessage = () => { if (!isIdle()) wake(); };
  ["pointerdown", "keydown", "wheel"].forEach((each) => document.addEventListener(each, touch, { passive: true }));
  document.addEventListener("htmx:after:swap", lock);
  setInterval(look, 1000);
}
