// The board of a run asks for itself; where no answer comes, what stands on it stays, and how old that is is said.

const OLD_MS = 25_000;
const LOOK_MS = 1_000;
const MINUTE_MS = 60_000;
const FEW_SECONDS_MS = 5_000;

const board = document.getElementById("board");
const said = document.getElementById("board-old");
let answered = Date.now();

function age(ms) {
  if (ms < MINUTE_MS) return `${Math.floor(ms / FEW_SECONDS_MS) * FEW_SECONDS_MS / 1_000} seconds`;
  const minutes = Math.floor(ms / MINUTE_MS);
  if (minutes < 60) return minutes === 1 ? "1 minute" : `${minutes} minutes`;
  const hours = Math.floor(minutes / 60);
  return hours === 1 ? "1 hour" : `${hours} hours`;
}

function tell() {
  const old = Date.now() - answered;
  const words = old < OLD_MS ? "" : `${age(old)} old. The shed's computer does not answer; this goes on by itself when it does.`;
  if (said.textContent !== words) said.textContent = words;
  said.hidden = !words;
}

// Swapped in is an answer; whatever went wrong is never swapped in.
document.addEventListener("htmx:after:swap", () => {
  if (!board.querySelector(".board-top")) return;
  answered = Date.now();
  tell();
});

if (board?.hasAttribute("hx-get")) setInterval(tell, LOOK_MS);
