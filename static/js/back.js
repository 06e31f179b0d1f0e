// Back may bring a page out of the browser's memory, with a person on it who has handed over since: it is asked for anew.

addEventListener("pageshow", (event) => {
  if (event.persisted) location.reload();
});
