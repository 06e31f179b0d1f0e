// The board of a run asks for itself; where no answer comes, what stands on it stays, and how old that is is said.

const OLD_MS = 25_000;
const LOOK_MS = 1_000;
const MINUTE_MS = 60_000;
const FEW_SECONDS_MS = 5_000;

const board = document.getElementById("board");
const said = document.getElementById("board-old");
const read = () => board?.querySelector(".board-at")?.textContent;
let shown = read();
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

// A new answer carries a new time; whatever went wrong leaves the old one standing.
function look() {
  const now = read();
  if (now && now !== shown) {
    shown = now;
    answered = Date.now();
  }
  tell();
}

if (board?.hasAttribute("hx-get")) setInterval(look, LOOK_MS);
