// What the bench tells of the fruit measured last, drawn from the parts that the page brings along (templates/samples/
// bench.html), so that it looks as the server's own answer does.

const last = () => document.getElementById("last");

// Whether what stands there was drawn here, and is no part of what the server drew.
export const isOwn = () => "own" in last().dataset;

export function tell(...made) {
  last().dataset.own = "";
  last().replaceChildren(...made);
}

export const part = (name) => document.getElementById(`told-${name}`).content.firstElementChild.cloneNode(true);

// To the status line of the page; `heard` only for those who hear it, where the eye has the same elsewhere.
export function say(words, heard = false) {
  const said = document.getElementById("said");
  if (!said) return;
  const line = document.createElement("span");
  line.className = heard ? "visually-hidden" : "";
  line.textContent = words;
  said.replaceChildren(...(words ? [line] : []));
}

// words: those of grading/fruit-words.js, or of the server's answer. differs: what it was thought to be before, or "".
export function showFruit(words, differs = "") {
  const told = part("fruit");
  const put = (selector, text) => { told.querySelector(selector).textContent = text; };
  put(".class-word", words.class_word);
  told.querySelector(".class-word").classList.toggle("long", words.class_word.length > 9);
  put(".last-line", words.line);
  put(".differs span", differs);
  const [missed, clauses] = words.why[0] ?? ["", ""];
  put(".reason-class", `Not ${missed}`);
  put(".reason-class + span", clauses);
  put(".not-judged span", words.not_judged.join(", "));
  if (!differs) told.querySelector(".differs").remove();
  if (!missed) told.querySelector(".reason").remove();
  if (!words.not_judged.length) told.querySelector(".not-judged").remove();
  tell(told);
}

// A fruit that only the server can read, or whose rules are not here yet.
export function showKept(entry) {
  showFruit({ class_word: "Kept", line: `${entry.words}. Its class stands here when the server answers.`, why: [], not_judged: [] });
}

function line(strong, words) {
  const made = document.createElement("p");
  made.className = "last-line";
  const first = document.createElement("b");
  first.textContent = strong;
  made.append(first, ` ${words}`);
  return made;
}

export const showNotSaved = (words) => tell(line("Not saved:", words));

// Until the server says it by the number of the fruit.
export function showUndone(words) {
  tell(line("Undone:", words));
  delete last().dataset.own;
}

export function besideLast(made) {
  document.querySelectorAll(".bench-undo").forEach((each) => each.remove());
  if (made) document.querySelector(".bench-about").prepend(made);
}

// fruit: the number it goes by at the server, 0 as long as that has not answered.
export function offerUndo(key, fruit = 0, number = 0) {
  const made = part("undo");
  const form = made.querySelector("form");
  form.dataset.undoes = key;
  form.action = `/fruit/${fruit}/voiding`;
  if (fruit) made.querySelector("p span").textContent = `Fruit ${number} saved.`;
  besideLast(made);
}
