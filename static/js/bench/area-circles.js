// Circles to tap for the area of a mark (templates/parts/area_circles.html). What a tap means is the page's own: it
// hears "area-tapped" on the tapped circle, with the area as it is typed into a field, in cm².

import "../true-size.js";

document.addEventListener("click", (event) => {
  const circle = event.target.closest?.("[data-area-mm2]");
  if (!circle) return;
  const areaMm2 = Number(circle.dataset.areaMm2);
  circle.dispatchEvent(new CustomEvent("area-tapped", { bubbles: true, detail: { areaMm2, cm2: String(areaMm2 / 100) } }));
});
