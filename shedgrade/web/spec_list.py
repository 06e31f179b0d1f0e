"""The list of specs: by fruit, by market, what is retired, and drafts."""

from collections import Counter
from dataclasses import dataclass
from itertools import groupby

from sqlmodel import Session

from shedgrade.domain.people import Deed, Person
from shedgrade.domain.spec import library
from shedgrade.domain.spec.values import values_of
from shedgrade.storage import markets, spec_drafts, specs
from shedgrade.storage.spec_confirmations import confirmed_of
from shedgrade.storage.tables import SpecDraft, SpecVersion


@dataclass(frozen=True, slots=True)
class SpecLine:
    """The newest version of a spec: its row, its classes and edition, where its figures come from, who buys under it,
    and whether it is retired."""

    row: SpecVersion
    edition: str
    classes: str
    sizes: int
    marks: str
    markets: list[str]
    retired: bool


@dataclass(frozen=True, slots=True)
class MarketLine:
    """A market and the version it buys under."""

    name: str
    row: SpecVersion


@dataclass(frozen=True, slots=True)
class SpecsView:
    """Specs by fruit and by market, and the drafts for those of the shed; ``own`` are those that a grower's own loads
    came in under."""

    title: str
    answer: str
    own: list[tuple[SpecVersion, str]]
    fruits: list[tuple[str, list[SpecLine]]]
    markets: list[MarketLine]
    drafts: list[tuple[SpecDraft, str]]
    may_keep: bool


def specs_view(session: Session, person: Person) -> SpecsView:
    """The list as this person may see it."""
    sees_shed = person.may(Deed.SEE_SHED)
    buying = [MarketLine(each.market.name, each.spec_version) for each in markets.markets(session)] if sees_shed else []
    retired = specs.retired_ids(session)
    fruits = [
        (library.crops()[crop_id].name, [_line(session, row, buying, retired) for row in rows])
        for crop_id, rows in groupby(specs.newest(session), key=lambda row: row.crop_id)
    ]
    drafts = spec_drafts.drafts(session) if sees_shed else []
    named = [(row, library.crops()[row.crop_id].name) for row in drafts]
    theirs = [] if person.grower_id is None else specs.of_loads(session, person.grower_id)
    own = [(row, library.crops()[row.crop_id].name) for row in theirs]
    return SpecsView("Specs", _answer(fruits), own, fruits, buying, named, person.may(Deed.KEEP_SPECS))


def _line(session: Session, row: SpecVersion, buying: list[MarketLine], retired: frozenset[int]) -> SpecLine:
    spec = specs.spec_in(row)
    return SpecLine(
        row=row,
        edition=spec.edition,
        classes=", ".join(each.name for each in spec.classes),
        sizes=len(spec.scale.names),
        marks=_marks(session, row),
        markets=[each.name for each in buying if each.row.spec_key == row.spec_key],
        retired=row.id in retired,
    )


def _marks(session: Session, row: SpecVersion) -> str:
    """How well its figures are known: "31 values: 12 from memory, 10 read, 9 confirmed here"."""
    confirmed = confirmed_of(session, row.id or 0)
    values = values_of(specs.spec_in(row))
    counted = Counter("confirmed here" if each.place in confirmed else each.source.mark.value for each in values)
    return f"{len(values)} values: {', '.join(f'{found} {mark}' for mark, found in counted.most_common())}."


def _answer(fruits: list[tuple[str, list[SpecLine]]]) -> str:
    if not fruits:
        return "No spec is published yet"
    count = sum(len(lines) for _, lines in fruits)
    specs_said = "1 spec" if count == 1 else f"{count} specs"
    kinds = "1 kind" if len(fruits) == 1 else f"{len(fruits)} kinds"
    return f"Fruit is judged under {specs_said}, for {kinds} of fruit"
