// What the pages do beyond plain forms. Each module watches the document, so swapped-in parts need no wiring.
import "./once.js";
import "./back.js";
import "./flash.js";
import "./focus-next.js";
import "./half-typed.js";
import "./lock.js";
import "./number-pad.js";
import "./print.js";
import "./row-words.js";
import "./say-failure.js";
import "./true-size.js";
import "./bench/strip.js";

document.documentElement.classList.add("js");
