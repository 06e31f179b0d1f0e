"""The sentences of a block's page: to its grower in the second person, to the shed by the block's name."""

from shedgrade.domain.sampling.estimate import Method
from shedgrade.domain.units import digits
from shedgrade.reports.block import BlockReport
from shedgrade.reports.season import Season
from shedgrade.web import ranges

_PLURAL = {"mango": "mangoes", "avocado": "avocados"}


def whose(report: BlockReport, *, to_grower: bool) -> str:
    """The block's fruit as this reader calls them: "your mangoes", "the mangoes of Ridge 3"."""
    block = report.found.block
    fruit = _PLURAL.get(block.crop_id, "fruit")
    return f"your {fruit}" if to_grower else f"the {fruit} of {block.name}"


def answer(report: BlockReport, season: Season | None) -> str:
    """The page's heading."""
    block = report.found.block.name
    if not report.consignments:
        return f"Nothing of {block} has come in yet"
    if season is None:
        return f"Nobody has looked at fruit of {block} yet"
    return f"{_packed(season, block)}{_cause(season)}"


def lead(season: Season, fruit: str) -> list[str]:
    """The sentences under the heading."""
    return [_looked_at(season, fruit), *_left_out(season), *_too_close(season)]


def _looked_at(season: Season, fruit: str) -> str:
    """What was looked at, and where another look would have put it."""
    looked = f"We looked at {digits(season.n_fruit)} of about {ranges.about(season.fruit.value)} of {fruit}"
    if season.again is None:
        return f"{looked}. {_no_range(season)}"
    return f"{looked}; another {digits(season.n_fruit)} would likely have said {ranges.in_a_hundred(season.again)}."


def _too_close(season: Season) -> list[str]:
    """That the first two defects cannot be told apart, where it is so."""
    if not season.too_close:
        return []
    first, second = (each.cause.name for each in season.defects[:2])
    return [f"The fruit looked at cannot tell whether {first} or {second} marked more of them down."]


def counted(season: Season) -> str:
    """On how many of the fruit looked at each cause was found, defects first; "" if none was."""
    found = [*season.defects, *season.others]
    if not found:
        return ""
    named = ", ".join(f"{each.cause.name} {each.found}" for each in found)
    return f"Counted on the {digits(season.n_fruit)} fruit looked at: {named}."


def _left_out(season: Season) -> list[str]:
    """What does not speak for the block, where there is any."""
    if not season.left_out:
        return []
    who = "1 consignment was" if season.left_out == 1 else f"{season.left_out} consignments were"
    return [f"{who} looked at in one bin only, which gives no range, and not counted in here."]


def _packed(season: Season, block: str) -> str:
    if season.packed == season.n_fruit:
        return f"All {digits(season.n_fruit)} fruit looked at of {block} go into trays"
    if not season.packed:
        return f"None of the {digits(season.n_fruit)} fruit looked at of {block} goes into a tray"
    return f"{digits(season.packed_by_number.value * 100)} in 100 fruit of {block} go into trays"


def _cause(season: Season) -> str:
    if not season.defects:
        return ""
    first = season.defects[0].cause.name
    if season.too_close:
        return f"; {first} or {season.defects[1].cause.name} marked most down"
    return f"; {first} marked most down"


def _no_range(season: Season) -> str:
    if season.packed_by_number.method is Method.SUM_WITHOUT_RANGE:
        return "Each consignment was looked at in one bin only, so no range can be given."
    return "All of them came from one bin, so no range can be given: the next bin may be quite different."
