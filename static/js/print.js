// A button that prints, only where it can: without scripts the page says how to print from the browser's own menu.

document.querySelectorAll("[data-print]").forEach((button) => { button.hidden = false; });
document.querySelectorAll("[data-print-hint]").forEach((hint) => { hint.hidden = true; });

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-print]")) print();
});
