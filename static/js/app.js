// What the pages do beyond plain forms. Each module watches the document, so swapped-in parts need no wiring.
import "./bench/capture.js"; // before once.js: what is kept on the tablet is no form that is sent
import "./once.js";
import "./back.js";
import "./bench/strip.js";
import "./bench/unsent-page.js";
import "./flash.js";
import "./focus-next.js";
import "./half-typed.js";
import "./lock.js";
import "./mark-states.js";
import "./number-pad.js";
import "./print.js";
import "./row-words.js";
import "./say-failure.js";

document.documentElement.classList.add("js");
