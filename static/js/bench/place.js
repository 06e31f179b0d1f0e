// Where the fruit in the hand is from: a draw, a bin of the receipt, and the words for it. What the eye reads and what is
// stored with the fruit are always put together. This window keeps it: a page opened again without the server shows where
// the bench was when the page was kept, and of a bin gone to without the server only this window knows.

// service-worker.js says so of the pages that it kept.
export const isKeptPage = performance.getEntriesByType("navigation")[0]?.serverTiming?.some(({ name }) => name === "kept");

function name() {
  const { sample, mark } = document.getElementById("fruit-form").dataset;
  return `place ${sample} ${mark}`;
}

// root: what is drawn, or about to be.
export function placeIn(root = document) {
  const value = (field) => root.querySelector(`#bench-side [name=${field}]`).value;
  return { draw: value("draw"), bin: value("bin"), words: root.querySelector("#next").dataset.from };
}

export const isAt = (one, other) => one.draw === other.draw && one.bin === other.bin;

function put(root, { draw, bin, words }) {
  root.querySelector("#bench-side [name=draw]").value = draw;
  root.querySelector("#bench-side [name=bin]").value = bin;
  root.querySelector("#next").dataset.from = words;
}

function keep(place) {
  sessionStorage.setItem(name(), JSON.stringify(place));
}

const kept = () => JSON.parse(sessionStorage.getItem(name()));

export function goTo(bin, words) {
  const place = { draw: "", bin, words, untold: true };
  keep(place);
  put(document, place);
}

// The server has been told, or has led somewhere else.
export const follow = (root) => keep(placeIn(root));

// What the server draws does not lead back from where it has not been told of yet.
export function stay(root) {
  const place = kept();
  if (place?.untold && place.bin !== placeIn(root).bin) put(root, place);
  else follow(root);
}

export function openPlace() {
  const place = kept();
  if (place && isKeptPage) put(document, place);
  else stay(document);
}
