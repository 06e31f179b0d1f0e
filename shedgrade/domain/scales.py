"""Scales at a bench: which lines are the weight of a fruit, and when a reading is too late to be put in by itself.

All figures here are our own choices.
"""

from dataclasses import dataclass, field
from datetime import timedelta

from shedgrade.domain.entry.scale import Mark
from shedgrade.domain.entry.scale_line import ScaleLine

CODE_DIGITS = 8
CODE_LASTS = timedelta(minutes=10)
LATE_AFTER = timedelta(seconds=3)
"""Older than this when it reaches the shed, it may be of another fruit than the bench's: a person says which."""
FRESH_FOR = timedelta(seconds=5)
"""So long a reading may go into the weight by itself; whoever opens the bench later finds the box empty."""
KEPT_FOR = timedelta(hours=12)

_EMPTY_DG = 20
_STREAM_GAP_S = 1.5
_ALIKE_IN_A_ROW = 3


@dataclass(slots=True)
class Settling:
    """Tells one weight for each thing put on the scale, out of all the lines it sends.

    A scale that sends by itself sends the same weight many times over: one is told, and the next one only after the
    scale was empty or unsettled, or shows 2 g more or less. Where its lines do not say that they are settled, three
    alike in a row are. A scale that sends when its key is pressed sends one line at a time: each is told.
    """

    _last_at_s: float = float("-inf")
    _told_dg: int | None = None
    _alike: list[int] = field(default_factory=list)
    _alone: int | None = None

    def line(self, line: ScaleLine, at_s: float) -> int | None:
        """The weight of something new on the scale, in tenths of a gram, or None; ``at_s`` is any clock's seconds."""
        if line.mark is Mark.UNCLEAR:
            return None
        in_stream = at_s - self._last_at_s < _STREAM_GAP_S
        self._last_at_s, self._alone = at_s, None
        if line.weight_dg is None or line.weight_dg < _EMPTY_DG:
            self._told_dg, self._alike = None, []
            return None
        if not in_stream:
            return self._first(line.weight_dg, says_settled=line.says_settled)
        if not line.says_settled and not self._stands_still(line.weight_dg):
            return None
        if self._told_dg is not None and abs(line.weight_dg - self._told_dg) < _EMPTY_DG:
            return None
        self._told_dg = line.weight_dg
        return line.weight_dg

    def quiet(self, at_s: float) -> int | None:
        """The weight of a line that nothing came after, which was therefore sent by a press of a key; or None."""
        if self._alone is None or at_s - self._last_at_s < _STREAM_GAP_S:
            return None
        weight_dg, self._alone = self._alone, None
        return weight_dg

    def _first(self, weight_dg: int, *, says_settled: bool) -> int | None:
        """After a pause: sent by a press, or the beginning of a stream."""
        self._alike = [weight_dg]
        self._told_dg = weight_dg if says_settled else None
        self._alone = None if says_settled else weight_dg
        return weight_dg if says_settled else None

    def _stands_still(self, weight_dg: int) -> bool:
        self._alike = [*self._alike, weight_dg] if self._alike[-1:] == [weight_dg] else [weight_dg]
        return len(self._alike) >= _ALIKE_IN_A_ROW
