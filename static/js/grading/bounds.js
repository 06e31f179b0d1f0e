// Whether a figure stands inside its bounds.
import { compare } from "./fractions.js";
import { EXACT, MORE_THAN } from "./taken.js";

export const [HOLDS, BROKEN, NOT_JUDGED, NO_RULE] = ["holds", "broken", "not judged", "no rule"];

// Below, at or above an end, as by compare.
export const against = (value, [num, den]) => compare(value, [BigInt(num), BigInt(den)]);

export function isOver(bounds, value) {
  if (!bounds.high) return false;
  const apart = against(value, bounds.high);
  return apart > 0 || (apart === 0 && !bounds.high[2]);
}

export function isUnder(bounds, value) {
  if (!bounds.low) return false;
  const apart = against(value, bounds.low);
  return apart < 0 || (apart === 0 && !bounds.low[2]);
}

export const allows = (bounds, value) => !isUnder(bounds, value) && !isOver(bounds, value);

// A figure that may still grow breaks an upper end for good, but never passes one, unless it is known how far it may
// grow.
export function judgeBounds(bounds, { value, extent, most }) {
  if (bounds.high) {
    if (isOver(bounds, value) || (extent === MORE_THAN && against(value, bounds.high) === 0)) return BROKEN;
    if (extent !== EXACT && (!most || isOver(bounds, most))) return NOT_JUDGED;
  }
  if (isUnder(bounds, value) && !(extent === MORE_THAN && against(value, bounds.low) === 0)) {
    return extent === EXACT || (most && isUnder(bounds, most)) ? BROKEN : NOT_JUDGED;
  }
  return HOLDS;
}
