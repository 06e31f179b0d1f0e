"""Every built-in spec, and two that ask everything a spec can; fruit for them in loads."""

from collections.abc import Iterator
from itertools import cycle

from shedgrade.domain.grading.facts import NOTHING_SAID, Fruit, Load
from shedgrade.domain.spec.library import standards
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType
from tests.support.many_fruit import TRAY, Maker
from tests.support.quell import quell
from tests.support.whole_spec import EVERYTHING

# Marks of whose state nobody knows, against ends on either side: more than the built-in specs ask.
IN_FLESH = """
[[limit]]
id = "sum"
name = "sum"
of = "scar"
take = "sum"
by = "area"
state = "into flesh"
to = "< 3 cm2"

[[limit]]
id = "largest"
name = "largest"
of = "scar"
take = "largest"
by = "share"
state = "into flesh"
to = ">= 1 % and <= 5 %"

[[limit]]
id = "as-on"
name = "as on"
of = "scar"
take = "sum"
by = "area"
state = "into flesh"
as_on = { of = "width", size = "50 mm" }
to = "> 2 cm2"

[[limit]]
id = "places"
name = "places"
of = ["scar", "scald"]
take = "places"
state = "progressive"
to = "<= 2"

[[limit]]
id = "present"
name = "present"
of = ["scar", "scald"]
take = "present"
state = "progressive"
rows = [{ class = "I", when = { sum = "<= 1 cm2" }, to = "nil" }, { to = "<= 1" }]
"""
SPECS = {spec.id: spec for spec in (*standards().values(), EVERYTHING, quell(IN_FLESH))}
LOADS = 8  # into which the fruit of a spec are divided


def in_loads(
    spec: Spec, number: int, seed: int
) -> Iterator[tuple[list[Fruit], Load, TrayType | None, list[str | None]]]:
    """So many fruit in loads: nothing said of the first, then more or less; every other on a tray, with codes."""
    maker = Maker(spec, seed)
    for load_number, tray in zip(range(LOADS), cycle([None, TRAY]), strict=False):
        some = maker.fruit(number // LOADS)
        yield some, maker.load() if load_number else NOTHING_SAID, tray, maker.codes(len(some)) if tray else []
