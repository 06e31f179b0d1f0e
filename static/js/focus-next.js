// After an answer is swapped in, the next thing typed belongs in the marked box: a typing scale, or the pad.
// A refused field comes first.

document.addEventListener("htmx:after:swap", () => {
  const box = document.querySelector("[data-focus-next]");
  if (!box) return;
  const refused = document.querySelector("#bench input[aria-invalid]");
  (refused ?? box).focus({ preventScroll: true });
});
