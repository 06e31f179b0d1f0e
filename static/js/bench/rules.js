// The rules that this sample's fruit are judged by. Those this browser kept with the page are here at once; the server's are
// asked for whenever the bench says by their hash that it has others.

const FORMAT = 1; // of the document: shedgrade/domain/grading/tablet/rules.py

let held = null;
let hash = "";
let asking = null;

const address = () => `/samples/${document.getElementById("fruit-form").dataset.sample}/rules`;
const wanted = () => document.getElementById("bench-side")?.dataset.rules;

// Null as long as none are here.
export const rulesHere = () => held;

async function take(answer) {
  if (!answer?.ok || answer.redirected) return;
  const rules = await answer.json();
  if (rules.format !== FORMAT) return;
  held = rules;
  hash = answer.headers.get("etag")?.replace(/^W\//, "").replaceAll('"', "") ?? "";
}

export function askForRules() {
  asking ??= fetch(address()).then(take).catch(() => {}).finally(() => { asking = null; });
  return asking;
}

// Others than the server has now are as good as none.
export function askIfOthers() {
  if (held === null || (wanted() && hash !== wanted())) askForRules();
}

// A browser gives a store for pages on https and localhost only.
export async function openRules() {
  const fresh = askForRules();
  const kept = await globalThis.caches?.match(address()).catch(() => null);
  if (held === null) await take(kept).catch(() => {});
  await fresh;
}
