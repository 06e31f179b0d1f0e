// A wired number pad drives the whole bench; what each key does stands on the page (templates/parts/bench.html
// pad_card). The keys are told by where they lie, so it does not matter whether Num Lock is on; a whole keyboard's own
// figures and signs type as ever.

import { press } from "../number-pad.js";

const SIGNS = { NumpadDecimal: ".", NumpadEnter: "enter", NumpadAdd: "+", NumpadSubtract: "-", NumpadMultiply: "*", NumpadDivide: "/" };
const FIGURE = /^Numpad(\d)$/;
const COMMANDS = {
  1: ["undo the last fruit", ".bench-undo .undo button"],
  2: ["next bin, tray or draw", '.bench-save button[formaction$="/draws"]'],
  3: ["wipe", "[data-wipe]"],
};
let asked = false;

const form = () => document.getElementById("fruit-form");
const all = (selector) => [...form().querySelectorAll(selector)].filter((each) => each.checkVisibility({ visibilityProperty: true }));
const at = () => document.activeElement;
const weight = () => form().querySelector("[data-pad-first]");
const stages = () => all('.stage-keys input[type="radio"]');
const stage = () => stages().find((each) => each.checked) ?? stages()[0];
const defects = () => all(".defect-key");
const judgeKey = () => form().querySelector(".judge-key");
const isBox = (each) => each?.matches?.("input[data-pad]") ?? false;

function say(words) {
  document.getElementById("said").textContent = words;
}

function go(target) {
  target?.focus();
  if (isBox(target)) target.select();
}

// What is filled before the defects, in the order of the hands.
const before = () => [weight(), ...all(".bench-taken input"), ...(stages().length ? [stage()] : [])];

function isEmpty(each) {
  return each.type === "radio" ? !stages().some((one) => one.checked) : each.value.trim() === "";
}

function next() {
  const here = before().indexOf(at());
  const empty = before().find((each, place) => (place > here || each === weight()) && isEmpty(each));
  if (here >= 0 && empty && empty !== at()) go(empty);
  else if (isEmpty(weight())) go(weight());
  else form().requestSubmit(judgeKey());
}

function step(by) {
  const keys = defects();
  const here = keys.indexOf(at()?.closest(".defect-key"));
  const boxOf = (key) => key.querySelector(".key-entry input") ?? key.querySelector("input");
  const to = here + by;
  if (by > 0) go(boxOf(keys[Math.min(to, keys.length - 1)]));
  else if (to >= 0) go(boxOf(keys[to]));
  else {
    const back = before();
    const place = back.findIndex((each) => each === at() || each.name === at()?.name);
    go(back[place < 0 ? back.length - 1 : Math.max(place - 1, 0)]);
  }
}

function figure(digit) {
  if (at()?.name === "stage") {
    const chosen = stages().find((each) => each.value === digit);
    if (!chosen) return;
    chosen.click();
    judgeKey().focus();
  } else if (isBox(at())) press(digit);
  else if (isEmpty(weight())) {
    go(weight());
    press(digit);
  }
}

const acts = {
  enter: next,
  "+": () => step(1),
  "-": () => step(-1),
  "*": () => at()?.closest(".defect-key")?.querySelector(":scope > input")?.click(),
  ".": () => { if (isBox(at())) press("."); },
  "/": () => {
    asked = true;
    say(`${Object.entries(COMMANDS).map(([digit, [words]]) => `${digit} ${words}`).join(", ")}. Any other key: none of these.`);
  },
};

function answer(digit) {
  asked = false;
  say("");
  document.querySelector(COMMANDS[digit]?.[1] ?? "#none")?.click();
}

document.addEventListener("keydown", (event) => {
  if (!form() || document.querySelector("dialog[open]")) return;
  const digit = FIGURE.exec(event.code)?.[1];
  const sign = SIGNS[event.code];
  if (asked) answer(digit);
  else if (digit !== undefined) figure(digit);
  else if (sign) acts[sign]();
  else if (event.code === "Backspace" && !at()?.matches("input, textarea, select")) press("erase");
  else return;
  event.preventDefault();
});
