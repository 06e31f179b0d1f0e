// Entries: a fruit as it was typed, or the voiding of one, each with an id of its own, and who captured it and when.

// Names of the form that are no facts of the fruit.
const NOT_OF_THE_FRUIT = new Set(["form_key", "entry_key", "refused", "put", "to_bin"]);

// 128 random bits; unlike randomUUID they are to be had on plain http too.
export function newKey() {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

export const whose = () => Number(document.body.dataset.whose ?? 0);

function captured(form) {
  return {
    key: newKey(),
    sample: Number(form.dataset.sample),
    mark: form.dataset.mark,
    of: form.dataset.of,
    person: whose(),
    name: document.querySelector(".frame .person strong")?.textContent ?? "",
    at: new Date().toISOString(),
  };
}

export function fruitOf(form) {
  const typed = [...new FormData(form)].filter(([name, value]) => (
    typeof value === "string" && value !== "" && !NOT_OF_THE_FRUIT.has(name)
  ));
  return { ...captured(form), fields: typed, words: wordsOf(form) };
}

export const voidingOf = (form, fruit, reason) => ({ ...captured(form), voids: fruit.key, reason, words: fruit.words });

// The fruit in words, as its form says them, for a person who decides about it without the server.
function wordsOf(form) {
  const boxes = [...form.querySelectorAll("input[type=text]")].filter((box) => box.value.trim());
  const keys = [...form.querySelectorAll("input:checked:not([name=seen])")];
  return [...boxes.map(boxWords), ...keys.map((key) => (key.type === "radio" ? `${key.name} ${key.value}` : labelOf(key)))].join(", ");
}

function boxWords(box) {
  const [word, unit] = (box.getAttribute("aria-label") ?? labelOf(box)).split(", in ");
  const typed = `${box.value.trim()} ${unit ?? box.parentElement.querySelector(".unit")?.textContent ?? ""}`.trim();
  return box.name === "weight" ? typed : `${word} ${typed}`;
}

const labelOf = (field) => (field.labels?.[0]?.textContent ?? field.name).replace(/\s+/g, " ").trim();

// What it is of and when that was begun. A mark once had the name of the consignment before the moment.
export const ofWhat = ({ of, mark }) => of ?? mark.split(" ")[0];
export const begunAt = ({ mark }) => new Date(mark.split(" ").at(-1));

// What the server is sent of an entry.
export function asSent({ key, sample, mark, person, name, at, fields, voids, reason }) {
  const who = { key, sample, mark, person, name, at };
  return voids ? { ...who, voids, reason } : { ...who, fields };
}

export const fieldOf = (entry, name) => entry.fields.find(([each]) => each === name)?.[1] ?? "";

// Puts a fruit back into its form, as it was typed.
export function fill(form, entry) {
  entry.fields.forEach(([name, value]) => {
    const fields = [...form.elements].filter((each) => each.name === name && each.type !== "hidden");
    fields.forEach((field) => {
      if (["radio", "checkbox"].includes(field.type)) field.checked ||= field.value === value;
      else field.value = value;
    });
  });
  form.dispatchEvent(new Event("change", { bubbles: true }));
}
