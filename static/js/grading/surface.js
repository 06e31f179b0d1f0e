// The surface a blemish could cover, in whole mm². How it goes by the weight is written in the rules: eight times its
// cube by the square of the weight. A whole number r is nearest the root where (2r - 1)³ lies at or below that.

export function blemishSurface(rules, weight) {
  const [num, den] = rules.surface.map(BigInt);
  const most = num * weight * weight;
  const reaches = (root) => (2n * root - 1n) ** 3n * den <= most;
  let [low, high] = [0n, 1n];
  while (reaches(high)) [low, high] = [high, 2n * high];
  while (high - low > 1n) {
    const middle = (low + high) / 2n;
    if (reaches(middle)) low = middle;
    else high = middle;
  }
  return low;
}
