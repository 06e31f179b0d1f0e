"""The weighings of an intake form: one row a time something stood on the scale."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from shedgrade.actions.intake import WeighingFacts
from shedgrade.domain import entry
from shedgrade.domain.net import BinGroup, intake_net
from shedgrade.domain.units import digits, say_mass
from shedgrade.reports.net import WeighedBins, exact_places
from shedgrade.storage.intake import mean_tare
from shedgrade.storage.tables import BinType, Tare
from shedgrade.web.answers import Answers
from shedgrade.web.net_panel import NetPanel
from shedgrade.web.pages import say_day

ROWS_AT_FIRST = 6
MORE_ROWS = 6
_MOST_ROWS = 200
_MOST_TOGETHER = 60
_HEAVIEST_BIN_G = 1_500_000
_LONGEST_LABEL = 40


@dataclass(frozen=True, slots=True)
class Scales:
    """What a row is read against: the bin types by id, the tares in force, and the day; no day, no tare."""

    bin_types: Mapping[str, BinType]
    tares: Mapping[int, Tare]
    day: date | None


def row_count(typed: Mapping[str, str]) -> int:
    """How many rows the form has; six to begin with."""
    value = typed.get("rows", "")
    return min(int(value), _MOST_ROWS) if value.isascii() and value.isdigit() and len(value) < 5 else ROWS_AT_FIRST  # noqa: PLR2004 - digits


def row_words(typed: Mapping[str, str]) -> list[str]:
    """What each row is called: the numbers its bins will have once saved. A blank row above a filled one is passed
    over; one below them all is the next bin."""
    rows = range(1, row_count(typed) + 1)
    filled = [row for row in rows if not _is_blank(typed, row)]
    words, number = [], 0
    for row in rows:
        if filled and row < filled[-1] and row not in filled:
            words.append(f"Row {row}, left blank")
        else:
            last = number + _together(typed, row)
            words.append(f"Bin {last}" if last == number + 1 else f"Bins {number + 1}–{last}")
            number = last
    return words


def read_weighings(answers: Answers, scales: Scales) -> tuple[WeighingFacts, ...]:
    """The weighings typed, blank rows left out; where a bin type is blank it is that of the row above."""
    read = tuple(_read(answers, scales))
    if not read and answers.fine:
        answers.refuse("weighings", "No bin was weighed. Type the gross weight of at least one.")
    return tuple(facts for facts in read if facts is not None)


def panel_for(weighings: tuple[WeighingFacts, ...], scales: Scales) -> NetPanel:
    """The net of weighings that were read without a mistake."""
    net = intake_net([_group(facts, scales) for facts in weighings])
    lines, number = [], 0
    for facts, line in zip(weighings, net.groups, strict=True):
        numbers = tuple(range(number + 1, number + facts.bins + 1))
        number += facts.bins
        lines.append(WeighedBins(numbers, facts.labels, numbers[-1:] if facts.part else (), line))
    return NetPanel(net, tuple(lines))


def _read(answers: Answers, scales: Scales) -> Iterator[WeighingFacts | None]:
    above = ""
    for row in range(1, row_count(answers.typed) + 1):
        if not _is_blank(answers.typed, row):
            above = answers.typed.get(f"type-{row}", "") or above
            yield _read_row(answers, row, above, scales)


def _read_row(answers: Answers, row: int, type_key: str, scales: Scales) -> WeighingFacts | None:
    bins = _bins(answers, row)
    tare = _tare(answers, row, type_key, scales)
    gross_g = answers.read(
        f"gross-{row}", lambda text: entry.mass(text, most_g=(bins or _MOST_TOGETHER) * _HEAVIEST_BIN_G)
    )
    labels = _labels(answers, row, bins)
    if bins is None or tare is None or gross_g is None or labels is None:
        return None
    facts = WeighingFacts(bins, tare.bin_type_id, tare.id or 0, gross_g, labels, part=answers.ticked(f"part-{row}"))
    return facts if _leaves_fruit(answers, row, facts, tare) else None


def _bins(answers: Answers, row: int) -> int | None:
    if not answers.typed.get(f"bins-{row}", "").strip():
        return 1
    return answers.read(f"bins-{row}", lambda text: entry.whole(text, least=1, most=_MOST_TOGETHER))


def _tare(answers: Answers, row: int, type_key: str, scales: Scales) -> Tare | None:
    name = f"type-{row}"
    if not type_key:
        answers.refuse(name, "Choose the bin type.")
        return None
    if type_key not in scales.bin_types:
        answers.refuse(name, "That is not one of the bin types. Choose one from the list.")
        return None
    if scales.day is None:
        return None
    bin_type = scales.bin_types[type_key]
    tare = scales.tares.get(bin_type.id or 0)
    if tare is None:
        answers.refuse(
            name,
            f"{bin_type.name} has no dry tare weighed on or before {say_day(scales.day)}. "
            "Weigh some empties and add the tare first, or choose another bin type.",
        )
    return tare


def _labels(answers: Answers, row: int, bins: int | None) -> tuple[str, ...] | None:
    parts = (" ".join(part.split()) for part in answers.typed.get(f"labels-{row}", "").split(","))
    labels = tuple(part for part in parts if part)
    if bins is not None and len(labels) > bins:
        found = f"{len(labels)} labels for {'1 bin' if bins == 1 else f'{bins} bins'}"
        answers.refuse(f"labels-{row}", f"{found}; at most one label a bin is accepted, with commas between them.")
        return None
    if any(len(label) > _LONGEST_LABEL for label in labels):
        answers.refuse(f"labels-{row}", f"A label can be {_LONGEST_LABEL} letters long; this one is longer.")
        return None
    return labels


def _leaves_fruit(answers: Answers, row: int, facts: WeighingFacts, tare: Tare) -> bool:
    mean = mean_tare(tare, "")
    try:
        BinGroup(facts.bins, facts.gross_g, mean)
    except ValueError:
        empties_g = facts.bins * mean.mean_g
        places = exact_places([facts.gross_g])
        empties = "1 empty weighs" if facts.bins == 1 else f"{digits(facts.bins)} empties weigh"
        answers.refuse(
            f"gross-{row}",
            f"{say_mass(facts.gross_g, places)} leaves no fruit: {empties} {say_mass(empties_g, 1)} by the tare of "
            f"{say_day(tare.weighed_on)}. A gross weight above that is accepted.",
        )
        return False
    return True


def _group(facts: WeighingFacts, scales: Scales) -> BinGroup:
    tare = scales.tares[facts.bin_type_id]
    return BinGroup(facts.bins, facts.gross_g, mean_tare(tare, scales.bin_types[str(facts.bin_type_id)].name))


def _together(typed: Mapping[str, str], row: int) -> int:
    """How many bins a row says it holds; 1 for what is no such number, which is refused when it is read."""
    try:
        return entry.whole(typed.get(f"bins-{row}", ""), least=1, most=_MOST_TOGETHER)
    except ValueError:
        return 1


def _is_blank(typed: Mapping[str, str], row: int) -> bool:
    together = typed.get(f"bins-{row}", "").strip()
    return together in {"", "1"} and not any(
        typed.get(f"{name}-{row}", "").strip() for name in ("gross", "labels", "part")
    )
