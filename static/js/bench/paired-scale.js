// A scale that is paired with this bench: while its page is in sight the bench asks what the scale sent. What is fresh is
// given to the weight once (scale-reading.js); what came late, because the shed was out of reach, is offered one by one in
// the order it was weighed, and goes in by a touch alone. After a failure it just asks again.

import { give, put } from "./scale-reading.js";

const EVERY = 1_000;
const WITHOUT_SCALE = 30_000;
const AFTER_FAILURE = 5_000;

const place = () => document.getElementById("scale-late");
let state = "";

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
  const answer = await fetch(`${place().dataset.asks}?seen=${encodeURIComponent(state)}`, { redirect: "manual" });
  if (answer.headers.get("Scale") === "none") return WITHOUT_SCALE;
  if (answer.status === 200) tell(new DOMParser().parseFromString(await answer.text(), "text/html"));
  return answer.ok ? EVERY : AFTER_FAILURE;
}

async function go() {
  let wait = EVERY;
  if (place() && document.visibilityState === "visible") {
    try { wait = await ask(); } catch { wait = AFTER_FAILURE; }
  }
  setTimeout(go, wait);
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

if (place()) go();
