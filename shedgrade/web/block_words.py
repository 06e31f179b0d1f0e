"""The sentences of a block's page: to its grower in the second person, to the shed by the block's name."""

from collections.abc import Sequence
from fractions import Fraction

from shedgrade.domain.sampling.estimate import Method
from shedgrade.domain.units import digits, say_percent
from shedgrade.reports.block import BlockReport
from shedgrade.reports.season import CauseOfBlock, Season
from shedgrade.reports.shares import ConsignmentShares
from shedgrade.storage.samples import VoidedLook
from shedgrade.web import ranges

_BY_LOAD = "each consignment counted by how much fruit it brought"
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
        return unseen(block, [look for each in report.consignments for look in each.voided_looks])
    return f"{_packed(season, block)}{_cause(season)}"


def unseen(fruit: str, voided: Sequence[VoidedLook]) -> str:
    """What is said instead of a result: that nobody looked, or that what was looked at was voided."""
    if not voided:
        return f"Nobody has looked at fruit of {fruit} yet"
    were = "the sample was" if len(voided) == 1 else f"all {len(voided)} samples were"
    return f"There are no results for {fruit}: {were} voided"


def lead(season: Season, fruit: str) -> list[str]:
    """The sentences under the heading."""
    return [_looked_at(season, fruit), _in_trays(season), *_left_out(season), *_too_close(season)]


def by_load(season: Season) -> str:
    """How the consignments are put together, where there are several."""
    return f", {_BY_LOAD}" if season.n_consignments > 1 else ""


def looked(shares: ConsignmentShares) -> str:
    """What one consignment's share rests on."""
    return f"{digits(shares.packed)} of {ranges.looked_at(shares.n_fruit, shares.n_draws)}"


def found_on(season: Season, consignment_id: int) -> str:
    """On how many fruit of one consignment the block's defects were found."""
    counted = [(each.cause.name, each.counted.get(consignment_id)) for each in season.defects]
    named = [_found_of(name, found) for name, found in counted]
    return ", ".join(named).capitalize() if any(found for _, found in counted) else ""


def _found_of(name: str, found: tuple[int, int] | None) -> str:
    return f"{name} not looked for" if found is None else f"{name} on {digits(found[0])} of {digits(found[1])}"


def _in_trays(season: Season) -> str:
    """The plain count, and what it comes to where the consignments count by their fruit."""
    counted = f"{digits(season.packed)} of the {digits(season.n_fruit)} would go into trays"
    plain, said = (
        digits(share * 100) for share in (Fraction(season.packed, season.n_fruit), season.packed_by_number.value)
    )
    if season.n_consignments == 1:
        return f"{counted}."
    same = "that is" if plain == said else f"that is {plain} in 100 of those looked at, and"
    return f"{counted}: {same} {said} in 100 of all fruit, {_BY_LOAD}."


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


def counted(season: Season) -> list[str]:
    """Each cause with how many of the fruit looked at for it had it, defects first."""
    return [f"{_plain(each)}{_weighed(each)}.{_not_looked(each)}" for each in (*season.defects, *season.others)]


def _plain(each: CauseOfBlock) -> str:
    looked = f"{digits(each.found)} of the {digits(each.by_number.n_fruit)} fruit looked at for it"
    return f"{each.cause.name.capitalize()} on {looked}, which is {say_percent(each.plain)}"


def _weighed(each: CauseOfBlock) -> str:
    """What the plain share comes to over all fruit delivered, where that is another figure."""
    share = say_percent(each.by_number.value)
    return "" if share == say_percent(each.plain) else f"; {share} of all fruit, {_BY_LOAD}"


def _not_looked(each: CauseOfBlock) -> str:
    if not each.left_out:
        return ""
    who = "1 consignment" if each.left_out == 1 else f"{each.left_out} consignments"
    return f" Not in this: {who} that nobody looked at for it, or in one bin only."


def _left_out(season: Season) -> list[str]:
    """What does not speak for the block, where there is any."""
    if not season.left_out:
        return []
    who = "1 consignment was" if season.left_out == 1 else f"{season.left_out} consignments were"
    return [f"{who} looked at in one bin only, which gives no range, and not counted in here."]


def _packed(season: Season, block: str) -> str:
    if season.packed == season.n_fruit:
        return f"All {digits(season.n_fruit)} fruit looked at of {block} would go into trays"
    if not season.packed:
        return f"None of the {digits(season.n_fruit)} fruit looked at of {block} would go into a tray"
    return f"{digits(season.packed_by_number.value * 100)} in 100 fruit of {block} would go into trays"


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
