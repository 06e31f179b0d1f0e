"""Scales at a bench: which lines are the weight of a fruit, and when a reading is too late to be put in by itself.

All figures here are our own choices.
"""

from dataclasses import dataclass
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
_PRESSED_AGAIN_S = 2.5
"""Nobody takes a fruit off, puts the next one on and has it stand still within so short a time."""
_ALIKE_IN_A_ROW = 3


@dataclass(slots=True)
class Settling:
    """Tells one weight for each thing put on the scale, out of all the lines it sends.

    A scale that sends by itself sends the same weight many times over: one is told, and the next one only after the
    scale was empty or unsettled, or shows 2 g more or less. Where its lines do not say that they are settled, three
    alike in a row are. A scale that sends when its key is pressed sends one line, two where it is pressed twice: the
    last of them is told, and the next press after 2.5 seconds is another fruit whatever it weighs. Tares say nothing of
    what lies on the scale.
    """

    _last_at_s: float = float("-inf")
    _told_dg: int | None = None
    _lines: int = 0
    """How many came since a pause."""
    _last_dg: int | None = None
    _alike: int = 0

    def line(self, line: ScaleLine, at_s: float) -> int | None:
        """The weight of something new on the scale, in tenths of a gram, or None; ``at_s`` is any clock's seconds. Ask
        :meth:`quiet` before."""
        if line.mark in {Mark.UNCLEAR, Mark.TARE}:
            return None
        self._pause(at_s - self._last_at_s)
        self._last_at_s, self._lines = at_s, self._lines + 1
        if line.weight_dg is None or line.weight_dg < _EMPTY_DG:
            self._told_dg = self._last_dg = None
            return None
        self._alike = self._alike + 1 if line.weight_dg == self._last_dg else 1
        self._last_dg = line.weight_dg
        stands = line.says_settled or self._alike >= _ALIKE_IN_A_ROW
        return self._new(line.weight_dg) if stands else None

    def quiet(self, at_s: float) -> int | None:
        """The weight of a line or two that nothing came after, sent therefore by a press of a key; or None."""
        if self._last_dg is None or self._lines >= _ALIKE_IN_A_ROW or at_s - self._last_at_s < _STREAM_GAP_S:
            return None
        return self._new(self._last_dg)

    def _pause(self, lasted_s: float) -> None:
        if lasted_s >= _STREAM_GAP_S:
            self._lines, self._last_dg = 0, None
        if lasted_s >= _PRESSED_AGAIN_S:
            self._told_dg = None

    def _new(self, weight_dg: int) -> int | None:
        if self._told_dg is not None and abs(weight_dg - self._told_dg) < _EMPTY_DG:
            return None
        self._told_dg = weight_dg
        return weight_dg
