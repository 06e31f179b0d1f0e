// A row of weighings is called by the bins it will be: changing how many stood on the scale together renumbers the rows
// below, as the server does when it works out the net. A blank row above a filled one is passed over.

const WORDS = ".weighing-words";

function holds(row, name) {
  const field = row.querySelector(`[name^="${name}-"]`);
  return field.type === "checkbox" ? field.checked : field.value.trim() !== "";
}

function together(row) {
  const typed = row.querySelector('[name^="bins-"]').value.trim();
  return /^[0-9]{1,2}$/.test(typed) && Number(typed) > 0 && Number(typed) <= 60 ? Number(typed) : 1;
}

function isBlank(row) {
  const typed = row.querySelector('[name^="bins-"]').value.trim();
  return ["", "1"].includes(typed) && !["gross", "labels", "part"].some((name) => holds(row, name));
}

function renumber(rows) {
  const last = rows.findLastIndex((row) => !isBlank(row));
  let number = 0;
  rows.forEach((row, place) => {
    const words = row.querySelector(WORDS);
    if (place < last && isBlank(row)) {
      words.textContent = `Row ${place + 1}, left blank`;
      return;
    }
    const bins = together(row);
    words.textContent = bins === 1 ? `Bin ${number + 1}` : `Bins ${number + 1}–${number + bins}`;
    number += bins;
  });
}

document.addEventListener("change", (event) => {
  const rows = event.target.closest?.(".weighings")?.querySelectorAll(".weighing");
  if (rows) renumber([...rows]);
});
// Back brings typed bins again after the page was drawn.
addEventListener("pageshow", () => {
  const rows = [...document.querySelectorAll(".weighings .weighing")];
  if (rows.length) renumber(rows);
});
