// Shapes that are as large as they say. A browser's own millimetre is a guess; once somebody has fitted the outline of a
// bank card to a real one (/screen), this browser keeps how many of the screen's own dots make a millimetre. In dots,
// so that it holds at any zoom. What is to be true is an svg of the class true-size whose width and height are in mm.

const KEY = "dots-per-mm";
const root = document.documentElement;
const GUESSED = 96 / 25.4; // CSS: 96 px an inch

const isSound = (number) => number > 1 && number < 100;

function kept() {
  try {
    const dots = Number(localStorage.getItem(KEY));
    return isSound(dots) ? dots : null;
  } catch {
    return null;
  }
}

export const pxPerMm = () => Number.parseFloat(root.style.getPropertyValue("--mm")) || GUESSED;

export function show(px) {
  root.style.setProperty("--mm", `${px}px`);
}

// Whether it could be kept: some browsers keep nothing.
export function keep(px) {
  try {
    localStorage.setItem(KEY, String(px * devicePixelRatio));
  } catch {
    return false;
  }
  root.classList.add("is-fitted");
  return true;
}

export function atTrueSize(svg) {
  for (const [side, attribute] of [["inlineSize", "width"], ["blockSize", "height"]]) {
    svg.style[side] = `calc(var(--mm) * ${Number.parseFloat(svg.getAttribute(attribute))})`;
  }
}

function fit() {
  const dots = kept();
  root.classList.toggle("is-fitted", dots !== null);
  show(dots === null ? GUESSED : dots / devicePixelRatio);
  document.querySelectorAll("svg.true-size").forEach(atTrueSize);
}

addEventListener("resize", fit); // zoomed
addEventListener("storage", (event) => { if (event.key === KEY) fit(); });
document.addEventListener("htmx:after:swap", fit);
fit();
