// A page that is left hands in what stands on it typed and not saved: each form with where it would be sent and its
// fields. The server gives it back to the same person (web/kept.py). No password, no file, no form that is being sent.

const FIELDS = "input:not([type=hidden], [type=password], [type=file]), select, textarea";

let handedIn = "";

function isChanged(field) {
  if (["radio", "checkbox"].includes(field.type)) return field.checked !== field.defaultChecked;
  if (field.options) { // where none is marked as chosen, a browser chooses the first
    const drawn = Math.max([...field.options].findIndex((each) => each.defaultSelected), 0);
    return field.selectedIndex !== drawn && field.value !== "";
  }
  return field.value !== field.defaultValue;
}

const isTyped = (box) => (["radio", "checkbox"].includes(box.type) ? box.checked : box.value.trim() !== "");

// The form of the bench is emptied in place after each fruit, whatever it was drawn with.
const isOpen = (form) => [...form.querySelectorAll("input:not([type=hidden])")].some(isTyped);

export function fruitIsOpen() {
  const form = document.getElementById("fruit-form");
  return form !== null && isOpen(form);
}

const sentTo = (form) => new URL(form.getAttribute("action"), location.href).pathname;

// The page that answers a form draws what was typed as if it were stored; so does a form that was put back.
function isUnsaved(form) {
  if ("sending" in form.dataset || "emptied" in form.dataset) return false;
  if (form.id === "fruit-form") return isOpen(form) && !("corrects" in form.dataset);
  const isAnswer = "answer" in document.body.dataset && sentTo(form) === location.pathname;
  return isAnswer || "unsaved" in form.dataset || [...form.querySelectorAll(FIELDS)].some(isChanged);
}

function typedIn(form) {
  const secret = new Set([...form.querySelectorAll("[type=password]")].map((each) => each.name));
  const pairs = [...new FormData(form)].filter(([name, value]) => typeof value === "string" && !secret.has(name));
  return new URLSearchParams(pairs).toString();
}

// What the server is told; null where nobody is in, or nothing is half-typed.
export function halfTyped() {
  const { whose } = document.body.dataset;
  const forms = whose ? [...document.querySelectorAll("form[method=post]")].filter(isUnsaved) : [];
  if (forms.length === 0) return null;
  const told = new URLSearchParams({ whose, next: location.pathname + location.search });
  forms.forEach((form) => { told.append("action", sentTo(form)); told.append("typed", typedIn(form)); });
  return told;
}

// Once before the next page is asked for, which may be this one again, and once more where a browser leaves out the first.
function leave() {
  const told = halfTyped();
  if (told === null || told.toString() === handedIn) return;
  handedIn = told.toString();
  // Not sendBeacon: the next page, asked for in the same moment, would come before it.
  fetch("/half-typed", { method: "POST", body: told, keepalive: true, priority: "high", redirect: "manual" }).catch(() => {});
}

addEventListener("beforeunload", leave);
addEventListener("pagehide", leave);

document.addEventListener("click", (event) => {
  const form = event.target.closest("[data-empty-form]")?.closest("form");
  if (form) form.dataset.emptied = "";
});
