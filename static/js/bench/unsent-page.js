// The page of what this browser keeps: what waits, what a person decides about, and its file. It is drawn from the browser
// alone, so that it works where the server does not answer.

import { begunAt, newKey, ofWhat, whose } from "./entries.js";
import { begin, send, senderNow } from "./queue.js";
import { download } from "./rescue-file.js";
import * as store from "./store.js";

const lists = document.getElementById("unsent-lists");

function element(name, className, ...children) {
  const made = document.createElement(name);
  if (className) made.className = className;
  made.append(...children.filter((each) => each !== null && each !== ""));
  return made;
}

// A second tap finds them dead; what is decided in another window as well the store does once (store.js).
async function press(pressed, act) {
  const all = pressed.closest("li").querySelectorAll("button");
  const hold = (held) => all.forEach((each) => { each.disabled = held; });
  hold(true);
  try {
    await act();
  } finally {
    hold(false);
  }
  await draw();
  send();
}

function button(words, act, { className = "button plain", isReady = () => true } = {}) {
  const made = element("button", className, words);
  made.type = "button";
  made.addEventListener("click", () => { if (isReady()) press(made, act); });
  return made;
}

// As everywhere in the program: Sun 1 Feb 2026, 00:58.
function moment(date) {
  const part = (name, format) => date.toLocaleString("en-GB", { [name]: format });
  return `${part("weekday", "short")} ${date.getDate()} ${part("month", "short")} ${date.getFullYear()}, ${date.toTimeString().slice(0, 5)}`;
}
const title = (entry) => (entry.voids ? `Void: ${entry.words} (${entry.reason})` : entry.words);
const who = (entry) => `${ofWhat(entry)}, measured by ${entry.name}, ${moment(new Date(entry.at))} by this tablet's clock`;

// One thing to decide about: what it is, why the server did not take it, both sides where there are two, and what can be
// done.
function toDecide(entry, samples) {
  const { answer } = entry;
  const item = element("li", "stack",
    element("p", "", element("strong", "", title(entry))),
    element("p", "note", who(entry)),
    element("p", "", answer.says),
    answer.stands ? element("p", "", `The server has: ${answer.stands}. This tablet has: ${answer.holds}.`) : null);
  item.dataset.entry = entry.key;
  item.append(element("div", "button-row", ...decisions(entry, samples)));
  return item;
}

function decisions(entry, samples) {
  const { answer } = entry.answer;
  const ways = [];
  if (answer === "refused" && entry.fields) ways.push(putRight(entry));
  if (answer === "differs" && entry.fields) ways.push(button("Store it as another fruit", () => again(entry, { key: newKey() }), { className: "button act" }));
  if (answer === "closed") ways.push(...otherSamples(entry, samples));
  if (answer === "refused" && entry.voids) ways.push(...withReason(entry, "Void it for this reason", (reason) => again(entry, { key: newKey(), reason, ...mine() })));
  ways.push(...withReason(entry, "Leave it out", (reason) => store.decide(entry, { state: "put aside", reason_aside: reason, by: whose() })));
  return ways;
}

const mine = () => ({ person: whose(), name: document.querySelector(".frame .person strong").textContent, notBy: 0 });

function putRight(entry) {
  const link = element("a", "button act", "Put it right");
  link.href = `/samples/${entry.sample}#again=${entry.key}`;
  return link;
}

// A new try, with what a person has decided. Under a new id the old one stays, to be seen.
function again(entry, changed) {
  if (!changed.key) return store.decide(entry, { ...changed, state: "waiting", answer: null });
  const { seq, state, since, answer, notBy, ...kept } = entry;
  return store.replace(entry, { ...kept, ...changed });
}

function otherSamples(entry, samples) {
  const fields = entry.fields?.filter(([name]) => !["draw", "bin"].includes(name));
  return samples.filter((each) => each.sample !== entry.sample || each.mark !== entry.mark).map((there) => button(
    `Put it into the sample of ${ofWhat(there)} begun ${moment(begunAt(there))}`,
    () => again(entry, { key: newKey(), sample: there.sample, mark: there.mark, of: there.of, ...(fields && { fields }) }),
  ));
}

function withReason(entry, words, act) {
  const box = element("input", "input");
  box.type = "text";
  box.maxLength = 200;
  box.id = `reason-${entry.key}-${words.length}`;
  const label = element("label", "", "Why");
  label.htmlFor = box.id;
  const told = element("p", "error");
  const reason = () => box.value.trim();
  const isReady = () => {
    if (reason()) return true;
    told.textContent = "Say why, in a few words.";
    box.focus();
    return false;
  };
  return [element("div", "field", label, told, box), button(words, () => act(reason()), { isReady })];
}

function section(name, items) {
  return element("section", "stack", element("h2", "", name), element("ol", "unsent-list", ...items));
}

const plain = (entry, undone = new Set()) => element("li", "",
  element("p", "", undone.has(entry.key) ? element("s", "", title(entry)) : element("strong", "", title(entry)), undone.has(entry.key) ? " undone" : ""), element("p", "note", who(entry)),
  entry.answer?.says ? element("p", "", entry.answer.says) : null,
  entry.reason_aside ? element("p", "", `Left out: ${entry.reason_aside}`) : null,
  entry.answer?.answer === "not yours" && whose() && whose() === senderNow() ? button(`${mine().name} measured it`, () => again(entry, mine())) : null);

// Without the server this page stands in for those that are not kept: then it says which one, and where the bench is.
function wayBack(newest) {
  const asked = document.querySelector(`.nav a[href="${location.pathname}"]`)?.textContent.trim() ?? "That page";
  const back = element("a", "button plain", newest ? `Back to the bench: ${ofWhat(newest)}` : "");
  back.href = `/samples/${newest?.sample}`;
  document.getElementById("unsent-way").replaceChildren(
    ...(location.pathname === "/unsent" ? [] : [element("p", "", element("strong", "", `${asked} cannot be opened without a link.`))]),
    ...(newest ? [element("p", "", back)] : []));
}

async function draw() {
  const everything = await store.all();
  const of = (state) => everything.filter((each) => each.state === state);
  const [stuck, waiting, aside] = ["stuck", "waiting", "put aside"].map(of);
  const samples = [...new Map(of("sent").map((each) => [`${each.sample} ${each.mark}`, each])).values()].reverse().slice(0, 5);
  const { undone, ...told } = store.people(waiting);
  const keys = new Set(waiting.map((each) => each.key));
  const shown = waiting.filter((each) => !keys.has(each.voids)); // an undone fruit says so itself
  document.getElementById("unsent-answer").textContent = waiting.length + stuck.length
    ? `${[...store.unsentWords(told), `${stuck.length} for you to decide`].join(", ")}. They stay on this tablet until the server has named each of them back.`
    : "All fruit of this tablet are sent.";
  wayBack(everything.at(-1));
  const parts = [
    stuck.length ? section("For you to decide", stuck.map((each) => toDecide(each, samples))) : null,
    waiting.length ? section("Not sent yet", shown.map((each) => plain(each, undone))) : null,
    aside.length ? section("Left out", aside.map((each) => plain(each))) : null,
  ].filter(Boolean);
  lists.replaceChildren(...parts);
  document.getElementById("rescue-file").onclick = () => download([...waiting, ...stuck].sort((one, other) => one.seq - other.seq));
}

// Nobody's typing is taken away by an answer that comes meanwhile.
function drawUnlessTyping() {
  if (!lists.contains(document.activeElement) || document.activeElement.tagName !== "INPUT") draw();
}

if (lists) {
  document.addEventListener("queue:changed", drawUnlessTyping);
  draw();
  begin();
}
