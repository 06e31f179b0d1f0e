// After a fruit is saved its form stands empty again, and the next thing typed (by a scale, or on the pad) belongs in
// the marked box. A refused field comes first.

function empty(form) {
  form.querySelectorAll("input, select").forEach((field) => {
    if (field.type === "radio" || field.type === "checkbox") field.checked = false;
    else if (field.type !== "hidden") field.value = "";
  });
}

document.addEventListener("htmx:after:swap", (event) => {
  if (event.detail.ctx.swap === "none") return; // a broken answer: nothing was swapped in, what was typed stays
  const saved = document.querySelector("[data-empties]");
  if (saved) {
    empty(document.getElementById(saved.dataset.empties));
    saved.removeAttribute("data-empties");
  }
  const refused = document.querySelector("#bench input[aria-invalid]");
  (refused ?? document.querySelector("[data-focus-next]"))?.focus({ preventScroll: true });
});
