// The pad's keys type into the box touched last, as a keyboard would; a scale that types works at the same time.

const boxes = () => [...document.querySelectorAll("input[data-pad]")];
const first = () => document.querySelector("input[data-pad-first]") ?? boxes()[0];
let inHand = null;

function take(box) {
  inHand?.classList.remove("is-in-hand");
  inHand = box ?? null;
  inHand?.classList.add("is-in-hand");
}

// What is marked in the box, as a refused figure is, gives way to the key.
function typed(box, key) {
  const before = box.value.slice(0, box.selectionStart);
  const after = box.value.slice(box.selectionEnd);
  const isMarked = box.selectionStart < box.selectionEnd;
  if (key === "erase") return isMarked ? before + after : box.value.slice(0, -1);
  const text = isMarked ? before + after : box.value;
  if (key === "." && text.includes(".")) return text;
  return isMarked ? before + key + after : text + key;
}

export function press(key) {
  if (!inHand?.isConnected) take(first());
  if (!inHand) return;
  inHand.value = typed(inHand, key);
  inHand.dispatchEvent(new Event("input", { bubbles: true }));
}

// The figure in the box gives way to what is typed now.
export function typeInto(box) {
  box?.focus({ preventScroll: true });
  box?.select();
}

export function toWeight() {
  first()?.focus({ preventScroll: true });
}

// With a pad on the page the tablet's own keyboard stays away; a typing scale is not affected.
function ready() {
  if (!document.querySelector("[data-number-pad]")) return;
  boxes().forEach((box) => { box.inputMode = "none"; });
  const focused = document.activeElement?.matches?.("input[data-pad]") ? document.activeElement : null;
  take(focused ?? first());
}

document.addEventListener("focusin", (event) => {
  if (event.target.matches("input[data-pad]") && document.querySelector("[data-number-pad]")) take(event.target);
});

// The box keeps the focus while the pad is pressed.
document.addEventListener("pointerdown", (event) => {
  if (event.target.closest("[data-key]")) event.preventDefault();
});

document.addEventListener("click", (event) => {
  const key = event.target.closest("[data-key]");
  if (key) press(key.dataset.key);
});

document.addEventListener("click", (event) => {
  const clear = event.target.closest?.("[data-clears]");
  if (!clear) return;
  const box = document.getElementById(clear.dataset.clears);
  box.value = "";
  box.dispatchEvent(new Event("input", { bubbles: true }));
  box.focus({ preventScroll: true });
});

// A touched defect key is seen, and its figure comes next; touched again it is lifted, figure and all. Somebody at the
// keyboard goes on to the figure with Tab.
document.addEventListener("click", (event) => {
  const seen = event.target.closest?.("input[data-seen]");
  if (!seen) return;
  const box = document.getElementById(seen.dataset.seen);
  if (!seen.checked) box.value = "";
  if (event.detail) (seen.checked ? box : first())?.focus({ preventScroll: true });
});

// What has a figure was seen.
document.addEventListener("input", (event) => {
  if (!event.target.matches?.(".key-entry input") || !event.target.value) return;
  event.target.closest(".defect-key").querySelector("input[data-seen]").checked = true;
});

document.addEventListener("htmx:after:swap", ready);
ready();
