// A scale that is paired with this bench: while its page is in sight the bench asks what the scale sent. What is fresh is
// given to the weight once (scale-reading.js); what came late, because the shed was out of reach, is offered one by one in
// the order it was weighed, and goes in by a touch alone. After a failure it asks more and more seldom, and at once when
// the link is back or the page is looked at again.

import { give, put } from "./scale-reading.js";

const EVERY = 1_000;
const WITHOUT_SCALE = 30_000;
const AFTER_FAILURE = 2_000;
const LONGEST_WAIT = 16_000;
const PATIENCE = 10_000;

const place = () => document.getElementById("scale-late");
let state = "";
let timer = 0;
let isAsking = false;
let failedWait = AFTER_FAILURE;

// Also over a page that is loaded anew: a reading is given once.
const given = () => Number(sessionStorage.getItem("scale-reading") ?? 0);

function tell(fragment) {
  const told = fragment.querySelector("[data-state]");
  if (!told) return;
  ({ state } = told.dataset);
  place().replaceChildren(...told.childNodes);
  place().hidden = place().childElementCount === 0;
  const reading = Number(told.dataset.reading);
  if (reading <= given()) return;
  sessionStorage.setItem("scale-reading", String(reading));
  if (told.dataset.live) give({ text: told.dataset.live, from: "paired" });
}

async function ask() {
  const answer = await fetch(`${place().dataset.asks}?seen=${encodeURIComponent(state)}`, { redirect: "manual", signal: AbortSignal.timeout(PATIENCE) });
  if (answer.headers.get("Scale") === "none") return WITHOUT_SCALE;
  if (!answer.ok) throw new Error(`answered ${answer.status}`);
  if (answer.status === 200) tell(new DOMParser().parseFromString(await answer.text(), "text/html"));
  return EVERY;
}

function afterFailure() {
  const wait = failedWait;
  failedWait = Math.min(wait * 2, LONGEST_WAIT);
  return wait;
}

async function go() {
  clearTimeout(timer);
  if (isAsking || !place() || document.visibilityState !== "visible") return;
  isAsking = true;
  let wait;
  try {
    wait = await ask();
    failedWait = AFTER_FAILURE;
  } catch { wait = afterFailure(); }
  isAsking = false;
  timer = setTimeout(go, wait);
}

function goAtOnce() {
  failedWait = AFTER_FAILURE;
  go();
}

document.addEventListener("submit", async (event) => {
  if (!event.target.closest?.("#scale-late")) return;
  event.preventDefault();
  const form = event.target;
  if (form.dataset.put) put(form.dataset.put);
  try {
    await fetch(form.action, { method: "POST", body: new URLSearchParams(new FormData(form)), redirect: "manual" });
  } catch { /* it is offered again */ }
  state = "";
  try { await ask(); } catch { /* the next round asks again */ }
});

if (place()) {
  addEventListener("online", goAtOnce);
  document.addEventListener("visibilitychange", goAtOnce);
  go();
}
