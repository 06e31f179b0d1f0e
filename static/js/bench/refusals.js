// What is wrong with a fruit, told where the last fruit stands and marked at each field, as the server draws it.

import { bringBack } from "../focus-next.js";
import { besideLast, part, tell } from "./told.js";

const TOLD_WHOLE = 3;

function describe(field, id) {
  field.setAttribute("aria-invalid", "true");
  field.setAttribute("aria-describedby", id);
}

function hidden(id, words) {
  const made = document.createElement("span");
  made.className = "visually-hidden";
  made.id = id;
  made.textContent = words;
  return made;
}

function sentence(id, words) {
  const made = part("field-error");
  made.id = id;
  made.querySelector("span").textContent = words;
  return made;
}

// A key keeps its size: its drawing gives way to a sign, and the sentence stays for those who hear the page.
function onKey(box, field, id, words) {
  const sign = part("key-error");
  sign.querySelector("span").textContent = field.value ? "look again" : "how large?";
  box.querySelector(".drawing").before(sign);
  box.append(hidden(id, words));
}

const places = {
  "defect-key": onKey,
  "stage-keys": (box, field, id, words) => { box.tabIndex = -1; box.querySelector("legend").after(hidden(id, words)); },
  "weight-box": (box, field, id, words) => box.append(sentence(id, words)),
  field: (box, field, id, words) => box.querySelector(".with-unit, .key-row").before(sentence(id, words)),
};

function markField([name, words]) {
  const field = document.getElementById(`f-${name}`);
  const kind = Object.keys(places).find((each) => field?.closest(`.${each}`));
  if (!kind) return;
  const box = field.closest(`.${kind}`);
  const id = `f-${name}-error`;
  places[kind](box, field, id, words);
  box.classList.add("has-error");
  describe(field, id);
  const folded = box.closest("details");
  if (folded) folded.open = true;
}

function item(name, words) {
  const made = document.createElement("li");
  const link = document.createElement("a");
  link.href = `#f-${name}`;
  link.textContent = words;
  made.append(link);
  return made;
}

function summary(errors) {
  const made = part("refusals");
  const list = made.querySelector("ul");
  const found = Object.entries(errors);
  list.append(...found.map(([name, words]) => item(name, words)));
  if (found.length > TOLD_WHOLE) {
    const rest = document.createElement("li");
    rest.className = "the-rest";
    rest.textContent = `And ${found.length - 2} more, each marked on its key.`;
    list.className = "many";
    list.append(rest);
  }
  return made;
}

function putIn(grams) {
  const made = part("put-in");
  made.querySelector("button").value = grams;
  made.querySelector("span").textContent = `Put in ${grams}\u202fg`;
  return made;
}

let stood = null; // what the refusal took the place of

const standing = () => ({ last: document.getElementById("last").cloneNode(true), beside: document.querySelector(".bench-undo") });

// errors: by the form's fields; meant: what a refused weight was likely meant to be, or "".
export function mark(form, { errors, meant = "" }) {
  const before = stood ?? standing();
  unmark(form);
  stood = before;
  Object.entries(errors).forEach(markField);
  tell(summary(errors));
  besideLast(meant ? putIn(meant) : null);
  const refused = form.querySelector("input[aria-invalid]") ?? form.querySelector("[data-focus-next]");
  bringBack();
  refused?.focus({ preventScroll: true });
  if (refused?.matches("[aria-invalid]")) refused.select(); // what is typed now takes its place
  document.dispatchEvent(new CustomEvent("bench:refused", { detail: { refused, isOnly: Object.keys(errors).length === 1 } }));
}

// What was wrong is being put right: its mark goes, and with the last mark the message, which is of before.
export function unmarkTouched(form, touched) {
  const box = touched.closest(".has-error");
  if (!box || !stood) return;
  unmark(box);
  box.classList.remove("has-error");
  if (form.querySelector(".has-error")) return;
  const { last, beside } = stood;
  unmark(form);
  document.getElementById("last").replaceWith(last);
  beside?.querySelector(".undo")?.removeAttribute("data-changed"); // it flashed when it came
  besideLast(beside);
}

// root: the form, or the box of one field.
export function unmark(root) {
  if (root.id === "fruit-form") stood = null;
  root.querySelectorAll("[name=refused], .error:not(.which), .key-error, .visually-hidden[id$='-error']").forEach((each) => each.remove());
  root.querySelectorAll(".has-error").forEach((each) => each.classList.remove("has-error"));
  root.querySelectorAll("[aria-invalid], .stage-keys").forEach((each) => { each.removeAttribute("aria-invalid"); each.removeAttribute("aria-describedby"); });
}
