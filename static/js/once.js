// A form is sent once: a second press before the answer came is dropped, and the page shows that it waits.
// The server drops doubles as well; this only spares the person the doubt.

const WAITED_LONG_ENOUGH = 20_000;

function release(form) {
  delete form.dataset.sending;
  form.removeAttribute("aria-busy");
}

function hold(form) {
  form.dataset.sending = "yes";
  form.setAttribute("aria-busy", "true");
  setTimeout(() => release(form), WAITED_LONG_ENOUGH);
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.sending) {
    event.preventDefault();
    event.stopImmediatePropagation();
    return;
  }
  hold(form);
}, { capture: true });

document.addEventListener("htmx:finally:request", (event) => {
  const form = event.target.closest?.("form");
  if (form) release(form);
});

// Back from the browser's memory brings the page as it was left: waiting.
window.addEventListener("pageshow", () => {
  document.querySelectorAll("form[data-sending]").forEach(release);
});
