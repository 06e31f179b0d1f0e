// Exact fractions: pairs of BigInt, the lower one over 0. No float decides anything.

export const fraction = (num, den = 1) => [BigInt(num), BigInt(den)];

// Below 0, 0 or over 0 as the first is smaller, equal or larger.
export function compare(first, second) {
  const apart = first[0] * second[1] - second[0] * first[1];
  return apart < 0n ? -1 : apart > 0n ? 1 : 0;
}

export const times = (first, second) => [first[0] * second[0], first[1] * second[1]];

// The second is over 0.
export const over = (first, second) => [first[0] * second[1], first[1] * second[0]];

export function reduced([num, den]) {
  let [divisor, rest] = [num < 0n ? -num : num, den];
  while (rest) [divisor, rest] = [rest, divisor % rest];
  return [num / divisor, den / divisor];
}

export function floor([num, den]) {
  const whole = num / den;
  return num < 0n && whole * den !== num ? whole - 1n : whole;
}

// Halves away from zero.
export function rounded([num, den]) {
  const half = floor([2n * (num < 0n ? -num : num) + den, 2n * den]);
  return num < 0n ? -half : half;
}

// As JSON holds it: a number, or text where a number would not be whole for sure.
export function plain(whole) {
  return Number.isSafeInteger(Number(whole)) ? Number(whole) : String(whole);
}

export const plainPair = (value) => reduced(value).map(plain);
