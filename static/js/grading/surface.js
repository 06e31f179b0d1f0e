// The surface a blemish could cover, in whole mm². How it goes by the weight is written in the rules: eight times its
// cube by the square of the weight. A whole number r is nearest the root where (2r - 1)³ lies at or below that.

export function blemishSurface(rules, weight) {
  const [num, den] = rules.surface.map(BigInt);
  const most = num * weight * weight;
  const reaches = (root) => (2n * root - 1n) ** 3n * den <= most;
  let root = BigInt(Math.round(Math.cbrt(Number(most) / Number(den) / 8)));
  while (!reaches(root)) root -= 1n;
  while (reaches(root + 1n)) root += 1n;
  return root;
}
