// The page on which the outline of a bank card is made as large as a real one. The steps are of the card's width, in mm.

import { keep, pxPerMm, show } from "./true-size.js";

const CARD_MM = 85.6;
const page = document.querySelector("[data-fit-screen]");

function say(words) {
  document.getElementById("fit-said").textContent = words;
}

page?.addEventListener("click", (event) => {
  const step = event.target.closest("[data-fit-by]");
  if (step) {
    show(pxPerMm() * (1 + Number(step.dataset.fitBy) / CARD_MM));
    say("");
  }
  if (event.target.closest("[data-fit-keep]")) {
    say(keep(pxPerMm()) ? "Kept on this tablet. Shapes are now as large as they say." : "This browser keeps nothing: it has to be fitted each time.");
  }
});
