// A reading of a scale goes into the weight by an event, whoever brings it: a scale that types (typed-by-scale.js) or one
// that is paired with this bench (paired-scale.js). Whoever wants to have it instead listens to "scale:reading" on the
// document and calls preventDefault(); detail is { text, from }, text as the weight box takes it.
//
// It never overwrites the weight of another fruit: it goes into an empty box, or takes the place of the scale's own
// reading as long as nothing else of that fruit has been touched. Otherwise it is offered, and a touch puts it in.

const form = () => document.getElementById("fruit-form");
const box = () => form()?.querySelector("input[data-pad-first]");

// True where the reading stands in the weight now, or somebody else took it.
export function give(reading) {
  const event = new CustomEvent("scale:reading", { detail: reading, cancelable: true });
  if (!document.dispatchEvent(event)) return true;
  if (!box()) return false;
  if ("keeping" in form().dataset) { // the fruit is on its way to the disk, and the box empty in a moment
    document.addEventListener("queue:changed", () => give(reading), { once: true });
    return true;
  }
  if (!isFree()) { offer(reading.text); return false; }
  put(reading.text);
  return true;
}

export function put(text) {
  const weight = box();
  weight.value = text;
  weight.dataset.fromScale = text;
  weight.dispatchEvent(new Event("input", { bubbles: true }));
  withdraw();
}

function isFree() {
  const weight = box();
  if ("sending" in form().dataset) return false;
  return weight.value === "" || (weight.value === weight.dataset.fromScale && isAlone(weight));
}

// The field of the form that a reading replaces is the only one with anything in it.
function isAlone(weight) {
  return [...form().querySelectorAll("input:not([type=hidden]), select, textarea")].every((field) => field === weight
    || (["radio", "checkbox"].includes(field.type) ? !field.checked : field.value.trim() === ""));
}

const bar = () => document.getElementById("scale-offer");

function offer(text) {
  if (!bar()) return;
  bar().querySelector("[data-offered]").textContent = text;
  bar().hidden = false;
}

function withdraw() {
  if (bar()) bar().hidden = true;
}

document.addEventListener("click", (event) => {
  if (event.target.closest?.("[data-put-offered]")) put(bar().querySelector("[data-offered]").textContent);
  if (event.target.closest?.("[data-leave-offered]")) withdraw();
});
