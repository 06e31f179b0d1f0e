// A figure got from a fruit: a fraction in base units, how it stands to the truth when not everything was looked for or
// measured, the kinds that made it up, and how far it may grow where that is known.

export const [EXACT, AT_LEAST, MORE_THAN, UP_TO] = ["exact", "at least", "more than", "up to"];
export const NONE = [0n, 1n];

export const taken = (value, extent = EXACT, kinds = [], most = null) => ({ value, extent, kinds, most });
// Nobody took it. No figure is below nothing.
export const unknown = () => taken(NONE, AT_LEAST);
