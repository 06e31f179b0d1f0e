// After a fruit is saved its form stands empty again, and the next thing typed (by a scale, or on the pad) belongs in
// the marked box. A refused field comes first. On a tablet the keys are back where the hand knows them, also after a
// defect from further down; on a telephone the result is above the button, and is brought into sight there.

import { fruitIsOpen } from "./half-typed.js";

const tablet = matchMedia("(width >= 760px)");

function empty(form) {
  form.querySelectorAll("input, select").forEach((field) => {
    if (field.type === "radio" || field.type === "checkbox") field.checked = false;
    else if (field.type !== "hidden") field.value = "";
  });
  if ("unsaved" in form.dataset) form.querySelector(":scope > .notice")?.remove(); // what was put back is saved now
  delete form.dataset.unsaved;
}

// To where the hand knows the keys, or on a telephone to what came of the fruit.
export function bringBack() {
  if (tablet.matches) scrollTo({ top: 0 });
  else document.getElementById("last")?.scrollIntoView({ block: "nearest" });
}

// For whatever takes the fruit out of the form without a new page.
export function emptyForNext(form) {
  empty(form);
  form.dispatchEvent(new Event("change", { bubbles: true })); // the states of a kind go with it
  bringBack();
  document.querySelector("[data-focus-next]")?.focus({ preventScroll: true });
}

document.addEventListener("htmx:after:swap", (event) => {
  if (event.detail.ctx.swap === "none") return; // a broken answer: nothing was swapped in, what was typed stays
  const saved = document.querySelector("[data-empties]");
  if (saved) {
    empty(document.getElementById(saved.dataset.empties));
    saved.removeAttribute("data-empties");
    if (tablet.matches) scrollTo({ top: 0 });
  } else if (event.detail.ctx.target?.id === "bench-side" && fruitIsOpen()) return; // the next one is being typed
  if (!tablet.matches) document.getElementById("last")?.scrollIntoView({ block: "nearest" });
  const refused = document.querySelector("#bench input[aria-invalid]");
  (refused ?? document.querySelector("[data-focus-next]"))?.focus({ preventScroll: true });
  refused?.select(); // what is typed now takes its place
});
