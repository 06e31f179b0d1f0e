// A shed tablet that nobody touches asks who is there. A fruit on the scale is never interrupted: the tablet waits until
// it is saved. The server keeps the same time by itself (web/whoami.py); this only shows it.

const after = Number(document.body.dataset.lockAfter) * 1000;
let touched = Date.now();

const isTyped = (box) => (["radio", "checkbox"].includes(box.type) ? box.checked : box.value.trim() !== "");

function fruitIsOpen() {
  const form = document.getElementById("fruit-form");
  return form !== null && [...form.querySelectorAll("input:not([type=hidden])")].some(isTyped);
}

const isIdle = () => Date.now() - touched > after;

function lock() {
  if (!isIdle() || fruitIsOpen()) return;
  const next = encodeURIComponent(location.pathname + location.search);
  location.replace(`/sign-in?next=${next}`);
}

// Once it is time to lock no touch puts it off: whoever comes back says who they are, after the fruit that is open.
function touch() {
  if (isIdle()) lock();
  else touched = Date.now();
}

if (after) {
  ["pointerdown", "keydown", "wheel"].forEach((each) => document.addEventListener(each, touch, { passive: true }));
  document.addEventListener("htmx:after:swap", lock);
  setInterval(lock, 1000);
}
