"""The lines of a quote as they are typed: trays and price for each class and count, and what is wrong with them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from shedgrade.domain import entry
from shedgrade.domain.currencies import typed_amount
from shedgrade.domain.units import digits, say_mass
from shedgrade.reports.quote import Cell, Chosen, QuoteSheet
from shedgrade.web.answers import Answers
from shedgrade.web.ids import row_id
from shedgrade.web.prices import price
from shedgrade.web.second_look import SecondLook

_MOST_TRAYS = 99_999


@dataclass(frozen=True, slots=True)
class QuoteRow:
    """A line of the form: the names of its fields, and what the trays typed come to.

    ``unsure`` of them go beyond what can be promised, ``unlikely`` of them beyond what is likely there.
    """

    cell: Cell
    trays_field: str
    price_field: str
    sure_field: str
    line_minor: int | None
    unsure: int
    unlikely: int


def trays_field(cell: Cell) -> str:
    """The name of the field for trays."""
    return f"trays-{cell.class_id}-{cell.count}"


def price_field(cell: Cell) -> str:
    """The name of the field for the price."""
    return f"price-{cell.class_id}-{cell.count}"


def sure_field(cell: Cell) -> str:
    """The name of the hidden field that says how many trays could be promised when the form was drawn."""
    return f"sure-{cell.class_id}-{cell.count}"


def prefilled(sheet: QuoteSheet) -> dict[str, str]:
    """The form before anybody typed: what can be promised, at the prices in force."""
    typed = {}
    for cell in sheet.cells:
        typed[trays_field(cell)] = str(cell.promise.promised or "")
        typed[price_field(cell)] = (
            "" if cell.list_minor is None else typed_amount(cell.list_minor, sheet.market.market.currency)
        )
    return typed


def chosen_lines(sheet: QuoteSheet, answers: Answers) -> list[Chosen]:
    """The lines with trays on them; what is wrong is kept in the answers."""
    found = [_chosen(sheet, cell, answers) for cell in sheet.cells]
    chosen = [line for line in found if line is not None]
    if sum(line.trays for line in chosen) > sheet.room and answers.fine:
        answers.refuse("lines", _too_many(sheet, sum(line.trays for line in chosen)))
    return chosen


def rows(sheet: QuoteSheet, chosen: Sequence[Chosen]) -> list[QuoteRow]:
    """Every line of the form, with what was chosen on it."""
    by_cell = {line.cell: line for line in chosen}
    return [_row(cell, by_cell.get(cell)) for cell in sheet.cells]


def fewer_now(chosen: Sequence[Chosen], typed: Mapping[str, str]) -> list[str]:
    """The lines that somebody else's quote took trays from since the form was drawn, where that matters."""
    return [
        f"{line.cell.class_name} {line.cell.count}s: {line.cell.promise.promised} instead of {sure}"
        for line in chosen
        if (sure := row_id(typed.get(sure_field(line.cell), ""))) > line.cell.promise.promised < line.trays
    ]


def doubt_lines(look: SecondLook, form_rows: Sequence[QuoteRow], chosen: Sequence[Chosen]) -> None:
    """Ask about every line that offers more than is likely there: the buyer reads that the trays are held."""
    trays = {line.cell: line.trays for line in chosen}
    for row in form_rows:
        if row.unlikely:
            offered, likely = trays[row.cell], row.cell.promise.likely
            name = f"{row.cell.class_name} {row.cell.count}s"
            sentence = f"You offer {digits(offered)} {name}, but only about {digits(likely)} are likely there."
            look.ask(row.trays_field, f"{offered} of {likely}", sentence)


def _chosen(sheet: QuoteSheet, cell: Cell, answers: Answers) -> Chosen | None:
    trays = answers.read(trays_field(cell), partial(entry.whole, least=0, most=_MOST_TRAYS), needed=False)
    each = answers.read(price_field(cell), partial(price, currency=sheet.market.market.currency), needed=False)
    if not trays:
        return None
    if trays > sheet.room:
        answers.refuse(trays_field(cell), _too_many(sheet, trays))
    if each is None:
        sentence = f"{cell.class_name} {cell.count}s have no price. Type one, or offer no trays of them."
        answers.refuse(price_field(cell), sentence)
        return None
    return Chosen(cell, trays, each)


def _too_many(sheet: QuoteSheet, trays: int) -> str:
    held = any(source.held for source in sheet.sources)
    return (
        f"{digits(trays)} trays are more than these consignments could ever fill: {say_mass(sheet.net_g)} came in, "
        f"{'of which other quotes hold some, ' if held else ''}enough for at most {digits(sheet.room)}."
    )


def _row(cell: Cell, line: Chosen | None) -> QuoteRow:
    trays = 0 if line is None else line.trays
    return QuoteRow(
        cell=cell,
        trays_field=trays_field(cell),
        price_field=price_field(cell),
        sure_field=sure_field(cell),
        line_minor=None if line is None else line.trays * line.price_minor,
        unsure=cell.promise.unsure_of(trays),
        unlikely=cell.promise.unlikely_of(trays),
    )
