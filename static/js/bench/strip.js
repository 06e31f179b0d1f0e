// The strip in the frame: how much of this browser's fruit the server does not have yet, since when it does not answer,
// and whether the page can be loaded again without it. A change of that is said once to those who hear the page, each
// fruit is not.

import { canReload, keepPage } from "./offline.js";
import { begin, link } from "./queue.js";
import { counts, unsentWords } from "./store.js";

const isBench = document.body.classList.contains("at-bench");
const SAY_AFTER = 1_500;

let heard = "";
let reloads = null; // not known yet
let strip = null;
let quiet = null;
let timer = 0;

const clock = (moment) => new Date(moment).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false });

function linkWords({ waiting }) {
  if (link.state === "none") return `no link since ${clock(link.since)}`;
  if (!waiting) return "";
  if (link.state === "door" || !document.body.dataset.whose) return "sign in to send";
  if (link.state === "not their job") return "a grader has to sign in to send";
  if (link.state === "fault") return "the shed's computer met a fault, it is tried again";
  return "";
}

function reloadWords() {
  if (!isBench || reloads === null) return "";
  if (reloads) return "opens without the network";
  return canReload ? "keep this page open" : "plain http: keep this page open";
}

// Nothing is "all sent" while a person has to decide about some of it.
function amounts(kept) {
  const some = [...unsentWords(kept), kept.stuck && `${kept.stuck} to decide`].filter(Boolean);
  return some.length ? some : ["All sent"];
}

function words(kept) {
  return { first: amounts(kept), rest: [linkWords(kept), reloadWords()].filter(Boolean) };
}

function build() {
  strip = document.createElement("a");
  strip.id = "strip";
  strip.className = "strip";
  strip.href = "/unsent";
  quiet = document.createElement("span");
  quiet.className = "visually-hidden";
  quiet.id = "strip-said";
  quiet.setAttribute("role", "status");
  strip.addEventListener("click", stay);
  const place = document.querySelector(".strip-place");
  if (place) place.append(strip, quiet);
  else document.querySelector(".frame .person").before(strip, quiet);
}

// Without a link and without the means to open a page, the page that is open is all there is.
function stay(event) {
  if (link.state !== "none" || !isBench || reloads) return;
  event.preventDefault();
  quiet.textContent = "The page of these fruit cannot be opened without a link. They stay on this tablet; go on measuring.";
}

function line(texts, name) {
  const made = document.createElement(name);
  made.textContent = texts.join(", ");
  return made;
}

async function draw() {
  const kept = await counts();
  const nothing = !kept.waiting && !kept.stuck;
  if (!isBench && nothing && !strip) return;
  if (!strip) build();
  const said = words(kept);
  strip.hidden = !isBench && nothing;
  strip.dataset.state = kept.stuck ? "stuck" : kept.waiting ? "waiting" : "sent";
  strip.replaceChildren(line(said.first, "strong"), line(said.rest, "span"));
  clearTimeout(timer);
  timer = setTimeout(() => hear(kept), SAY_AFTER);
}

// What the link does, and that something has to be decided; how many wait is read when wanted.
function hear(kept) {
  const now = [linkWords(kept), kept.stuck ? `${kept.stuck} fruit for you to decide` : "", kept.waiting || kept.stuck ? "" : "all fruit are sent"];
  const text = now.filter(Boolean).join(", ");
  if (text !== heard && heard !== "") quiet.textContent = text;
  heard = text;
}

async function start() {
  const kept = await counts();
  if (!isBench && !kept.waiting && !kept.stuck) return;
  document.addEventListener("queue:changed", draw);
  await draw();
  begin();
  if (!isBench) return;
  navigator.storage?.persist?.();
  reloads = await keepPage();
  await draw();
}

// A browser that keeps nothing (a private window of an old one) has nothing to tell; forms are sent at once there.
start().catch(() => {});
