// What stands on the page typed and not saved: each form with where it would be sent and its fields. No password, no
// file; the fruit on the scale is a matter of its own (lock.js).

const FIELDS = "input:not([type=hidden], [type=password], [type=file]), select, textarea";

function isChanged(field) {
  if (["radio", "checkbox"].includes(field.type)) return field.checked !== field.defaultChecked;
  if (field.options) return [...field.options].some((each) => each.selected !== each.defaultSelected && each.value !== "");
  return field.value !== field.defaultValue;
}

const sentTo = (form) => new URL(form.getAttribute("action"), location.href).pathname;

// The page that answers a form draws what was typed as if it were stored; so does a form that was put back.
function isUnsaved(form) {
  const isAnswer = "answer" in document.body.dataset && sentTo(form) === location.pathname;
  return isAnswer || "unsaved" in form.dataset || [...form.querySelectorAll(FIELDS)].some(isChanged);
}

function typedIn(form) {
  const secret = new Set([...form.querySelectorAll("[type=password]")].map((each) => each.name));
  const pairs = [...new FormData(form)].filter(([name, value]) => typeof value === "string" && !secret.has(name));
  return { action: sentTo(form), typed: new URLSearchParams(pairs).toString() };
}

export function halfTyped() {
  return [...document.querySelectorAll("form[method=post]:not(#fruit-form)")].filter(isUnsaved).map(typedIn);
}
