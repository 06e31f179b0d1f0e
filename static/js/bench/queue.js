// Sends what is kept, in the order it was captured and in batches, by one window at a time. An entry counts as sent only
// once the server has named its id back. Whatever goes wrong, it stays, and is sent again; repeats are harmless.

import { asSent, newKey, whose } from "./entries.js";
import * as store from "./store.js";

const BATCH = 50;
const ASKED_AT_ONCE = 200;
const PATIENCE = 20_000;
const LEASE = 30_000;
const FIRST_WAIT = 1_000;
const LONGEST_WAIT = 30_000;
const GONE = "no link since";
const ASKED_EVERY = 10 * 60_000;

// "": not tried yet; "there", "none" since a moment, "door": nobody is signed in, "not their job", "fault".
export const link = { state: "", since: null, door: "" };

const windows = new BroadcastChannel("bench-queue");
const me = newKey();
let wait = FIRST_WAIT;
let timer = 0;
let running = null;
let again = false;
let askedAt = 0;
let sending = false;
let begun = false;
let sender = whose(); // who is signed in now, by the server's last answer: another window may have changed that

export const isSending = () => sending;
export const senderNow = () => sender;

function tell(name, detail) {
  document.dispatchEvent(new CustomEvent(name, { detail }));
}

windows.onmessage = ({ data }) => {
  if (data.link) Object.assign(link, data.link);
  tell("queue:changed");
  if (data.answers) tell("queue:answers", { answers: data.answers, elsewhere: true });
};

function changed(answers = null) {
  windows.postMessage({ link: { ...link }, answers });
  tell("queue:changed");
  if (answers) tell("queue:answers", { answers, elsewhere: false });
}

// Since when there is no link, also where the page was opened anew meanwhile.
function gone() {
  const since = Number(sessionStorage.getItem(GONE)) || Date.now();
  sessionStorage.setItem(GONE, since);
  return since;
}

function setLink(state, door = "") {
  if (state === "none") link.since = gone();
  else if (state === "there") sessionStorage.removeItem(GONE);
  if (state === "there" && link.state === "none") askedAt = 0; // the server may have been set back meanwhile
  Object.assign(link, { state, door });
}

// Tries now; gives a promise that is kept when all is sent or it goes no further.
export function send() {
  clearTimeout(timer);
  if (running) again = true;
  else running = turn().finally(() => { running = null; });
  return running;
}

async function turn() {
  do {
    again = false;
    await asOnlySender(sendAll);
  } while (again);
}

function later() {
  clearTimeout(timer);
  timer = setTimeout(send, wait);
  wait = Math.min(wait * 2, LONGEST_WAIT);
}

async function asOnlySender(work) {
  // Locks go with the window that holds them; they are given on https and localhost only.
  if (navigator.locks) return navigator.locks.request("bench-queue", { ifAvailable: true }, (held) => (held ? work() : later()));
  if (!(await store.claim(me, LEASE))) return later();
  try {
    return await work();
  } finally {
    await store.release(me);
  }
}

async function sendAll() {
  if (!whose()) return setLink("door");
  const met = new Set(); // what the server met a fault over, to be tried later
  try {
    await askAgain();
    for (let batch = await nextBatch(met); batch.length; batch = await nextBatch(met)) {
      await sendOne(batch, met);
      if (!navigator.locks) await store.claim(me, LEASE);
    }
    if (met.size === 0) wait = FIRST_WAIT;
    else { setLink("fault"); later(); }
  } catch (problem) {
    later();
    if (!(problem instanceof NoAnswerError)) throw problem;
  } finally {
    sending = false;
    changed();
  }
  return undefined;
}

class NoAnswerError extends Error {}

// Asks the server for something; what it cannot answer to this person now is told by the link. Null for what it takes in
// no form.
async function reach(address, options = {}) {
  sending = true;
  // As htmx asks: then an ended sign-in is answered by where to go, and not by another page.
  const asked = { ...options, headers: { "HX-Request": "true" }, signal: AbortSignal.timeout(PATIENCE) };
  const answer = await fetch(address, asked).catch(noLink);
  const door = answer.headers.get("HX-Redirect");
  if (door) setLink("door", door);
  else if (answer.ok) return told(answer);
  else if (answer.status === 403) setLink("not their job");
  else if (answer.status === 413 || answer.status === 422) return null;
  else setLink("fault");
  throw new NoAnswerError();
}

function noLink() {
  setLink("none");
  throw new NoAnswerError();
}

// The server always says who is signed in. What does not is not the server: the page of a network that wants a sign-in of
// its own, or of a proxy.
async function told(answer) {
  const found = await answer.json().catch(noLink);
  if (!found?.sender) noLink();
  sender = found.sender;
  setLink("there");
  return found;
}

// In the order captured. What this person may not send waits for another; what has to wait holds up nothing behind it.
async function nextBatch(met) {
  const waiting = (await store.withState("waiting")).filter(({ key, notBy }) => notBy !== sender && !met.has(key));
  const batch = [];
  for (const each of waiting) {
    if (batch.length === BATCH) break;
    if (!each.voids || (await isReady(each, batch))) batch.push(each);
  }
  return batch;
}

// A voiding goes behind its fruit, or behind what was stored in its place. Where the server did not take the fruit, or it
// is left out, there is nothing to void, and nothing to decide: both are left out.
async function isReady(voiding, batch) {
  if (batch.some(({ key }) => key === voiding.voids)) return true;
  const fruit = await store.withKey(voiding.voids);
  if (!fruit || fruit.state === "sent") return true;
  if (fruit.state === "corrected") {
    voiding.voids = fruit.by;
    await store.changeAll([[voiding.key, { voids: fruit.by }]]);
    return isReady(voiding, batch);
  }
  if (fruit.state !== "waiting") {
    const left = { state: "put aside", since: Date.now(), by: voiding.person };
    await store.changeAll([[voiding.key, left], ...(fruit.state === "stuck" ? [[fruit.key, { ...left, reason_aside: voiding.reason }]] : [])]);
  }
  return false;
}

async function sendOne(batch, met) {
  const body = new URLSearchParams({ entries: JSON.stringify(batch.map(asSent)) });
  const answer = await reach("/fruit-entries", { method: "POST", body });
  if (answer === null) {
    if (batch.length > 1) return sendOne(batch.slice(0, Math.floor(batch.length / 2)), met);
    return store.changeAll([[batch[0].key, { state: "stuck", answer: { answer: "refused", says: "The server takes no such entry." } }]]);
  }
  const ours = new Set(batch.map((each) => each.key));
  const answers = answer.answers.filter((each) => ours.has(each.key));
  await store.changeAll(answers.map((each) => [each.key, becomes(each)]));
  const settled = new Set(answers.filter((each) => each.answer !== "again").map((each) => each.key));
  batch.forEach(({ key }) => { if (!settled.has(key)) met.add(key); });
  return changed(answers);
}

function becomes(answer) {
  const now = Date.now();
  if (["stored", "had already"].includes(answer.answer)) return { state: "sent", since: now, answer };
  if (answer.answer === "again") return { answer };
  if (answer.answer === "not yours") return { answer, notBy: sender };
  return { state: "stuck", since: now, answer };
}

// A server set back to a backup does not know what it had: the newest ids are asked after, and older ones as long as some
// are missing. What is missing is offered again, and so is a voiding that it has forgotten.
async function askAgain() {
  if (Date.now() - askedAt < ASKED_EVERY) return;
  await store.prune(Date.now() - store.KEPT_FOR);
  const sent = (await store.withState("sent")).reverse();
  const fruit = sent.filter((each) => each.fields);
  const voidings = new Map(sent.filter((each) => each.voids).map((each) => [each.voids, each]));
  for (let from = 0; from < fruit.length; from += ASKED_AT_ONCE) {
    const keys = fruit.slice(from, from + ASKED_AT_ONCE).map((each) => each.key);
    const answer = await reach(`/fruit-entries?keys=${keys.join(",")}`);
    if (answer === null) break;
    const gone = keys.filter((key) => !(key in answer.known));
    const forgotten = keys.filter((key) => voidings.has(key) && !answer.known[key]).map((key) => voidings.get(key).key);
    await store.changeAll([...gone, ...forgotten].map((key) => [key, { state: "waiting", since: Date.now(), offered: "again" }]));
    if (gone.length + forgotten.length === 0) break;
  }
  askedAt = Date.now();
}

export function begin() {
  if (begun) return;
  begun = true;
  send();
  addEventListener("online", () => { wait = FIRST_WAIT; send(); });
  addEventListener("offline", () => { setLink("none"); changed(); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) { wait = FIRST_WAIT; send(); } });
  setInterval(send, ASKED_EVERY);
}
