// When nothing came back, or only a broken answer, the page says so where the eye and the screen reader are.

function say(words) {
  const said = document.getElementById("said");
  if (said) said.textContent = words;
}

// Only of what was to be saved: the bench asks again by itself for what it shows.
const wasToSave = (event) => event.detail.ctx?.request?.method !== "GET";

// A new try makes the last one's failure old news.
document.addEventListener("htmx:before:request", (event) => { if (wasToSave(event)) say(""); });

document.addEventListener("htmx:error", (event) => {
  if (wasToSave(event)) say("Not saved: the shed's computer did not answer. What you typed is still here; try again.");
});

document.addEventListener("htmx:response:error", (event) => {
  const status = event.detail.ctx.response.status;
  if (status >= 500 && wasToSave(event)) say("Not saved: the shed's computer met a fault. What you typed is still here; try again.");
});
