// Taps of the tally: counted on the page at once, kept in this browser, and sent one after the other, each under a key of
// its own, so that a repeat is harmless and two quick taps are two trays. Whatever goes wrong with the link, they wait.

const AGAIN_MS = 3_000;

const tally = () => document.getElementById("run-tally");
const whose = () => document.body.dataset.whose;
const newKey = () => crypto.randomUUID?.() ?? `${Date.now()}-${Math.random()}`;
let sending = false;

function kept() {
  try {
    return JSON.parse(localStorage.getItem("taps")) ?? [];
  } catch {
    return [];
  }
}

function keep(taps) {
  localStorage.setItem("taps", JSON.stringify(taps));
}

const mine = () => kept().filter((tap) => tap.whose === whose());

function say(words) {
  document.getElementById("said").textContent = words;
}

const trays = (number) => (number === 1 ? "1 entry is" : `${number} entries are`);

function tellWaiting() {
  const others = kept().length - mine().length;
  if (mine().length) say(`No answer from the shed's computer. ${trays(mine().length)} not stored yet, and kept in this browser. Go on.`);
  else if (others) say(`${trays(others)} kept in this browser for somebody else, and stored when they sign in here.`);
}

// The key shows one more before the answer is there.
function countOne(button) {
  const shown = button?.querySelector(".tally-trays");
  if (shown) shown.textContent = String(Number(shown.textContent.replace(/\D/g, "")) + 1);
}

// Before anybody else hears of it (once.js waits at the document).
addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches?.("[data-taps]")) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  const fields = new URLSearchParams(new FormData(form, event.submitter));
  fields.set("entry_key", newKey());
  keep([...kept(), { address: form.getAttribute("action"), whose: whose(), fields: fields.toString() }]);
  countOne(event.submitter);
  form.querySelector("input[type=text]")?.select();
  send();
}, { capture: true });

function post(tap) {
  const headers = { "content-type": "application/x-www-form-urlencoded", "HX-Request": "true" };
  return fetch(tap.address, { method: "POST", headers, body: tap.fields, redirect: "manual" });
}

// Gives the answer's text; null where there is none yet. What the server refuses is not asked again.
async function answerTo(tap) {
  const answer = await post(tap);
  if (answer.type === "opaqueredirect" || answer.status === 401) { // the sign-in is over: it goes on after the next
    location.reload();
    return null;
  }
  if (answer.status >= 500 || answer.status === 429) return null;
  keep(kept().filter((each) => each.fields !== tap.fields));
  const text = await answer.text();
  if (!answer.ok && answer.status !== 422) {
    say("The last entry was not stored. Look at the list of entries below.");
    location.reload();
    return null;
  }
  return { text, address: tap.address };
}

function draw(answer) {
  if (!tally() || !location.pathname.startsWith(answer.address.replace(/\/trays$/, ""))) return;
  const made = new DOMParser().parseFromString(answer.text, "text/html");
  const at = document.activeElement;
  const { id, value } = at ?? {};
  tally().replaceWith(made.getElementById("run-tally"));
  globalThis.htmx?.process(tally());
  say(made.getElementById("said")?.textContent ?? "");
  const again = id ? document.getElementById(id) : [...tally().querySelectorAll("button[name=cell]")].find((each) => each.value === value);
  again?.focus({ preventScroll: true });
}

async function send() {
  if (sending) return;
  sending = true;
  let last = null;
  try {
    while (mine().length) {
      const answer = await answerTo(mine()[0]);
      if (!answer) break;
      last = answer;
    }
  } catch {
    // No link: they wait.
  }
  sending = false;
  if (mine().length) {
    tellWaiting();
    setTimeout(send, AGAIN_MS);
  } else if (last) draw(last);
}

if (tally()) {
  tellWaiting();
  if (mine().length) send();
}
