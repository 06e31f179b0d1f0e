// The states of a kind are asked for once it was seen on the fruit; without a script they stand there from the start.

function show() {
  document.querySelectorAll("[data-states-of]").forEach((keys) => {
    const kind = keys.dataset.statesOf;
    const seen = document.querySelector(`input[name="seen"][value="${kind}"], input[type="checkbox"][name="mark-${kind}"]`);
    keys.hidden = !seen?.checked;
    if (keys.hidden) keys.querySelectorAll("input").forEach((key) => { key.checked = false; });
  });
}

document.addEventListener("change", show);
document.addEventListener("input", show);
document.addEventListener("htmx:after:swap", show);
show();
