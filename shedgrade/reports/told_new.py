"""What each kind of new row is called, as the part of a sentence that follows who added it."""

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from shedgrade.domain.settings import RULES
from shedgrade.domain.units import digits, say_amount
from shedgrade.reports.told_values import Say


class Did(NamedTuple):
    """What somebody did, and what there is to say of it after a colon."""

    head: str
    tail: str = ""


def _grower(after: Any, _say: Say) -> Did:
    return Did(f"took {after['name']} into the books", f"contact {after['contact']}" if after.get("contact") else "")


def _block(after: Any, say: Say) -> Did:
    facts = ", ".join(say.value(column, after[column]) for column in ("crop_id", "variety", "area_m2"))
    return Did(f"added the block {after['name']} of {say.value('grower_id', after['grower_id'])}", facts)


def _tare(after: Any, say: Say) -> Did:
    empties = f"{after['empties']} {after['state']} {'empty' if after['empties'] == 1 else 'empties'}"
    weighed = f"{say.value('total_g', after['total_g'])} on {say.value('weighed_on', after['weighed_on'])}"
    return Did(f"weighed {empties} of {say.value('bin_type_id', after['bin_type_id'])}", weighed)


def _docket(after: Any, _say: Say) -> Did:
    return Did(f"opened docket {after['number']}" + (f", truck {after['truck']}" if after.get("truck") else ""))


def _consignment(after: Any, say: Say) -> Did:
    received = f"received it on docket {say.value('docket_id', after['docket_id'])}"
    if "bins" not in after:
        return Did(received)
    bins = "1 bin" if after["bins"] == 1 else f"{digits(after['bins'])} bins"
    return Did(f"{received}, {bins}, {say.value('gross_g', after['gross_g'])} gross")


def _wet_empties(after: Any, say: Say) -> Did:
    weighed = f"{after['empties']}, {say.value('total_g', after['total_g'])}" if "empties" in after else ""
    return Did(f"weighed the wet empties of {say.value('bin_type_id', after['bin_type_id'])}", weighed)


def _sample(after: Any, say: Say) -> Did:
    of = say.value("question", after["question"])
    if after.get("origin") == "file":
        return Did(f"read a sample of {of} from a file, {digits(after.get('fruit', 0))} fruit")
    tray = say.value("tray_type_id", after.get("tray_type_id"))
    return Did(f"started a sample of {of}" + (f", counted for {tray}" if tray else ""))


def _maturity_test(after: Any, say: Say) -> Did:
    fruit = "1 fruit" if after["fruit"] == 1 else f"{after['fruit']} fruit"
    return Did(f"wrote down a maturity test of {fruit}, taken on {say.value('taken_on', after['taken_on'])}")


def _quick_look(after: Any, say: Say) -> Did:
    fruit = "1 fruit" if after["fruit"] == 1 else f"{after['fruit']} fruit"
    net = after["gross_g"] - after.get("tare_g", 0)
    return Did(f"began a quick look at a tray of {fruit}, {say.value('net_g', net)} net")


def _run(after: Any, say: Say) -> Did:
    under = say.value("spec_version_id", after["spec_version_id"])
    trays = say.value("tray_type_ids", after.get("tray_type_ids"))
    what = {"packing": "packing", "sizing pass": "a sizing pass", "re-run": "a re-run"}[after["kind"]]
    return Did(f"started {what}", f"under {under}" + (f", into {trays}" if trays else ""))


def _tray_type(after: Any, say: Say) -> Did:
    counts = ", ".join(str(each) for each in after.get("counts", ()))
    facts = f"{say.value('net_g', after['net_g'])} net" + (f", counts {counts}" if counts else "")
    return Did(f"put {after['name']} on the list of trays from {say.value('valid_from', after['valid_from'])}", facts)


def _market(after: Any, say: Say) -> Did:
    trays = say.value("tray_type_ids", after.get("tray_type_ids"))
    pays = f"pays {after['currency']} under {say.value('spec_version_id', after['spec_version_id'])}"
    return Did(f"added the market {after['name']}", pays + (f", takes {trays}" if trays else ""))


def _price_list(after: Any, say: Say) -> Did:
    count = after.get("prices")
    prices = "prices" if count is None else "1 price" if count == 1 else f"{digits(count)} prices"
    head = f"set {prices} from {say.value('valid_from', after['valid_from'])}"
    return Did(head + (" in place of those of the same day" if after.get("mends") else ""), _price_changes(after))


def _price_changes(after: Any) -> str:
    changed = after.get("changed")
    if changed is None:
        return ""
    if not changed:
        return "none changed"
    if isinstance(changed, int):
        return f"{digits(changed)} of them changed"
    return "; ".join(_price_change(each, after["currency"]) for each in changed)


def _price_change(change: tuple[str, int | None, int | None], currency: str) -> str:
    name, *minor = change
    said = [None if each is None else say_amount(each, currency) for each in minor]
    if said[0] is None:
        return f"{name} {said[1]} {currency}, no price before"
    if said[1] is None:
        return f"{name} no price any more, {said[0]} {currency} before"
    return f"{name} from {said[0]} to {said[1]} {currency}"


def _quote(after: Any, say: Say) -> Did:
    trays = f"{digits(after['trays'])} trays, " if "trays" in after else ""
    until = say.value("valid_until", after["valid_until"])
    return Did(f"made quote {after['number']} to {after['buyer']}", f"{trays}valid until {until}")


def _setting(after: Any, say: Say) -> Did:
    rule = RULES.get(after["key"])
    name = after["key"] if rule is None else f"{rule.name[0].lower()}{rule.name[1:]}"
    new, old = (
        None if value is None else str(value) if rule is None else rule.say_stored(str(value))
        for value in (after["value"], after.get("held_before"))
    )
    before = f" instead of {old}" if old else ""
    head = f"set a rule from {say.value('valid_from', after['valid_from'])}"
    return Did(head, f"{name} {new}{before}. Where that comes from: {after['source']}")


ADDED: Mapping[str, Callable[[Any, Say], Did]] = {
    "grower": _grower,
    "block": _block,
    "bin type": lambda after, _say: Did(f"added the bin type {after['name']}"),
    "tare": _tare,
    "docket": _docket,
    "consignment": _consignment,
    "wet empties": _wet_empties,
    "sample": _sample,
    "fruit": lambda after, _say: Did(f"measured fruit {after['number']}"),
    "maturity test": _maturity_test,
    "quick look": _quick_look,
    "photo": lambda after, _say: Did(f"took photo {after['place']} of {after['shows']}"),
    "run": _run,
    "shared bin": lambda after, _say: Did(f"opened a bin for {after['outlet_id']} that several runs fill"),
    "tray type": _tray_type,
    "market": _market,
    "price list": _price_list,
    "quote": _quote,
    "person": lambda after, _say: Did(f"took {after['name']} into the books"),
    "setting": _setting,
    "tablet": lambda after, _say: Did(f"registered the tablet {after['name']}"),
    "scale": lambda after, _say: Did(f"paired the scale {after['name']} with a bench"),
}
