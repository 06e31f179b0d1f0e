// Which row of a limit speaks of a fruit, and whether the limit holds.
import { BROKEN, HOLDS, NO_RULE, NOT_JUDGED, judgeBounds } from "./bounds.js";
import { takenAt } from "./figures.js";

const judgeAt = (bounds, seen) => judgeBounds(bounds, takenAt(seen, bounds.at));

// Whether a row speaks of the fruit.
function speaks(row, seen) {
  const answers = (row.when ?? []).map((bounds) => judgeAt(bounds, seen));
  if (answers.includes(BROKEN)) return BROKEN;
  return row.unsaid || answers.includes(NOT_JUDGED) ? NOT_JUDGED : HOLDS;
}

// Of each way the first row that speaks of the fruit, or may: known is false where nobody can say whether it is that row.
export function deciding([, ways], seen) {
  return ways.flatMap((way) => {
    for (const number of way) {
      const row = seen.rules.rows[number];
      const answer = speaks(row, seen);
      if (answer !== BROKEN) return [{ row, known: answer === HOLDS }];
    }
    return [];
  });
}

// One way that holds is enough; it is broken when every way that has a row is.
export function judgeLimit(ruling, seen) {
  const answers = deciding(ruling, seen).map(({ row, known }) => (known ? judgeAt(row, seen) : NOT_JUDGED));
  if (!answers.length) return NO_RULE;
  return [HOLDS, NOT_JUDGED].find((each) => answers.includes(each)) ?? BROKEN;
}

// The places of the figures for which a limit could not be judged.
export function unsure({ row, known }, seen) {
  return (known ? [row] : row.when ?? []).filter((bounds) => judgeAt(bounds, seen) === NOT_JUDGED).map(({ at }) => at);
}
