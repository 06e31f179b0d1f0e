// Wiping a wet glass touches every key: for some seconds none answers. A keyboard ends it sooner; the glass cannot.

import { toWeight } from "../number-pad.js";

const SOONER = new Set(["Escape", "/"]);

function wipe(dialog) {
  const left = dialog.querySelector(".wiping-left");
  let seconds = Number(dialog.dataset.seconds);
  left.textContent = seconds;
  dialog.showModal();
  const ticking = setInterval(() => {
    seconds -= 1;
    left.textContent = seconds;
    if (seconds === 0) dialog.close();
  }, 1000);
  dialog.addEventListener("close", () => { clearInterval(ticking); toWeight(); }, { once: true });
}

document.addEventListener("click", (event) => {
  const key = event.target.closest?.("[data-wipe]");
  if (key) wipe(document.getElementById(key.dataset.wipe));
});

// Before anything else hears the key: what the dead glass covers must not.
addEventListener("keydown", (event) => {
  const dialog = document.querySelector("dialog.wiping[open]");
  if (!dialog || !SOONER.has(event.key)) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  dialog.close();
}, { capture: true });
