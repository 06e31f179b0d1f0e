// A shed tablet that nobody touches says so, then locks and asks who is there. What stands half-typed on the page is handed
// in first (half-typed.js). A fruit on the scale is never interrupted: the tablet waits until it is saved. The server
// keeps the same time by itself (web/whoami.py), and is told of touches that ask it for nothing.

import { isSending } from "./bench/queue.js";
import { fruitIsOpen, halfTyped } from "./half-typed.js";

const after = Number(document.body.dataset.lockAfter) * 1000;
const warning = Math.min(60_000, after / 2);
const TOLD_EVERY = 5_000;
const windows = new BroadcastChannel("touched");
let touched = Date.now();
let told = touched;
let leaving = false;

const alone = () => Date.now() - touched;
const isIdle = () => alone() > after;

function length(time) {
  const [count, unit] = time < 60_000 ? [Math.floor(time / 10_000) * 10, "second"] : [Math.floor(time / 60_000), "minute"];
  if (count === 1) return `a ${unit}`;
  return `${count} ${unit}s`;
}

function say(words) {
  const said = document.getElementById("said");
  if (said && said.textContent !== words) said.textContent = words;
}

// In steps of ten seconds, then of minutes: whoever hears the page is not told every second.
function sinceWhen() {
  if (!isIdle()) return `Nobody has touched this for ${length(alone())}.`;
  const late = alone() - after;
  return `It was time to lock ${late < 10_000 ? "just now" : `${length(late)} ago`}.`;
}

function warn() {
  say(fruitIsOpen()
    ? `${sinceWhen()} It locks as soon as this fruit is saved.`
    : `Nobody has touched this for ${length(after - warning)}. It locks in ${length(warning)}.`);
}

async function post(address, form, headers = {}) {
  const answer = await fetch(address, { method: "POST", body: form, headers });
  if (answer.status >= 500) throw new Error(address);
  return answer;
}

// The answer says where the page goes on. Where none comes the page stays, and it is tried again: nothing typed is lost.
async function leave() {
  leaving = true;
  try {
    const forms = halfTyped();
    if (forms) await post("/half-typed", forms);
    const here = new URLSearchParams({ next: location.pathname + location.search, why: "locked" });
    const answer = await post("/locking", here, { "HX-Request": "true" });
    const door = answer.headers.get("HX-Redirect");
    if (door) location.replace(door);
    else leaving = false;
  } catch {
    leaving = false;
  }
}

function lock() {
  if (isIdle() && !leaving && !fruitIsOpen() && !isSending()) leave();
}

function tell() {
  if (touched <= told || Date.now() - told < TOLD_EVERY) return;
  told = Date.now();
  fetch("/touched", { method: "POST", body: new URLSearchParams(), redirect: "manual" }).catch(() => {});
}

function look() {
  tell();
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
