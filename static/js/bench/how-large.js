// A touched defect asks how large it is: a tap on a circle as large as the mark answers, or the pad types it. The box of
// the key itself is what is sent; the one shown here holds the same.

import { typeInto } from "../number-pad.js";

const panel = () => document.getElementById("how-large");
const shown = () => document.getElementById("how-large-figure");
let figure = null; // the box of the key that was touched
let byHand = false; // keys go on from box to box, and a panel over them would be in their way

const SHAPES = { "cm²": "circle", mm: "line", "%": "share", places: "figure" };
const acrossMm = { "cm²": (size) => Math.sqrt((size * 400) / Math.PI), mm: (size) => size };

function sizeKey(size, unit) {
  const key = document.createElement("button");
  key.type = "button";
  key.className = "size-key";
  key.dataset.size = size;
  const shape = document.createElement("span");
  shape.className = `size-shape size-${SHAPES[unit]}`;
  key.style.setProperty("--size-mm", acrossMm[unit]?.(Number(size)) ?? 0);
  key.style.setProperty("--share", `${size}%`);
  const word = document.createElement("span");
  word.className = "size-word";
  word.textContent = size;
  key.ariaLabel = `${size} ${unit}`;
  key.append(shape, word);
  return key;
}

function open(key, box) {
  figure = box;
  const { word, unit, offered } = key.dataset;
  document.getElementById("how-large-word").textContent = `${word}: how large?`;
  document.getElementById("how-large-unit").textContent = unit;
  panel().querySelector(".not-fitted").hidden = !(unit in acrossMm); // no shape of theirs has a true size
  const sizes = panel().querySelector(".sizes");
  sizes.classList.remove("are-halved");
  sizes.replaceChildren(...offered.split(" ").map((size) => sizeKey(size, unit)));
  panel().hidden = false;
  sizes.classList.toggle("are-halved", sizes.scrollHeight > sizes.clientHeight);
  panel().scrollIntoView({ block: "nearest" }); // the key may have stood further down
  shown().removeAttribute("aria-describedby");
  shown().value = box.value;
  shown().focus({ preventScroll: true });
}

// The keys are back where they were; what the pad types now takes the place of the figure. Where the spec asks what a
// mark of this kind is like, those keys stand below.
function close() {
  panel().hidden = true;
  typeInto(figure);
  const kind = figure.name.replace("mark-", "");
  document.querySelector(`[data-states-of="${kind}"]:not([hidden])`)?.scrollIntoView({ block: "end" });
  figure = null;
}

function put(value) {
  figure.value = value;
  figure.dispatchEvent(new Event("input", { bubbles: true }));
}

const ways = {
  back: close,
  lift() {
    const seen = figure.closest(".defect-key").querySelector("input[data-seen]");
    close();
    seen.click();
  },
};

document.addEventListener("click", (event) => {
  const { target } = event;
  const size = target.closest?.("[data-size]");
  const way = target.closest?.("[data-size-way]");
  if (size) {
    put(size.dataset.size);
    close();
  } else if (way) {
    ways[way.dataset.sizeWay]();
  } else if (event.detail && target.matches?.("input[data-seen]") && target.checked) {
    const key = target.closest("[data-offered]");
    if (key && panel()) open(key, document.getElementById(target.dataset.seen));
  }
});

// A size that alone is missing is asked for again.
document.addEventListener("bench:refused", ({ detail: { refused, isOnly } }) => {
  const key = refused?.closest("[data-offered]");
  if (byHand && isOnly && key && refused.value === "" && panel()) {
    open(key, refused);
    shown().setAttribute("aria-describedby", refused.getAttribute("aria-describedby"));
  }
});

addEventListener("pointerdown", () => { byHand = true; }, { capture: true });
addEventListener("keydown", () => { byHand = false; }, { capture: true });

document.addEventListener("input", (event) => {
  if (figure && event.target === shown()) put(event.target.value);
});

function leave() {
  if (!panel()) return;
  panel().hidden = true;
  shown().value = "";
  figure = null;
}

// A fruit that was judged closes it, by whomever.
["bench:judged", "htmx:after:swap"].forEach((each) => document.addEventListener(each, leave));
