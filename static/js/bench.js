// What only the bench of a sample does, beside what every page does (app.js).
import "./mark-states.js";
import "./bench/paired-scale.js";
import "./bench/typed-by-scale.js";
import "./bench/how-large.js";
import "./bench/judge-words.js";
import "./bench/wipe.js";
import "./bench/wired-pad.js";
import "./bench/capture.js";
