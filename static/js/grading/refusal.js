// What is said of an entry that cannot be taken.

const SHOWN = 24;

// Any sentence; meant is what was likely meant, as it would be typed.
export class Refused extends Error {
  constructor(sentence, meant = "") {
    super(sentence);
    this.meant = meant;
  }
}

// What was found, and what would be accepted.
export class Refusal extends Refused {
  constructor(found, accepted, meant) {
    super(accepted.endsWith("?") ? `${found}; ${accepted}` : `${found}; ${accepted}.`, meant);
  }
}

// An entry in quotes as it can be shown: without control signs, shortened.
export function shown(text) {
  const seen = strip(printable(text));
  return seen.length <= SHOWN ? `"${seen}"` : `"${seen.slice(0, SHOWN)}…"`;
}

export const printable = (text) => text.replace(/[\p{C}\p{Z}]/gu, " ");

// White space as the server sees it.
const SPACE = "[\\t-\\r\\x1c-\\x20\\x85\\xa0\\u2000-\\u200a\\u2028\\u2029\\u202f\\u205f\\u3000]";
const AT_THE_ENDS = new RegExp(`^${SPACE}+|${SPACE}+$`, "g");
export const ZERO = new RegExp(`^0+(?:[.,]0*)?${SPACE}*(?:%|[cm]m(?:2|²|\\^2)?)?$`, "i");

export const strip = (text) => text.replace(AT_THE_ENDS, "");
