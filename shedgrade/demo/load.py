"""Storing the demo season through the same actions the pages use, with a bar that shows how far it is."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from random import Random
from typing import Any

from rich.progress import Progress
from sqlmodel import Session

from shedgrade.actions import (
    growers,
    intake,
    markets,
    maturity,
    photos,
    prices,
    quick_looks,
    quotes,
    samples,
    spec_drafts,
    specs,
    trays,
)
from shedgrade.actions.draws import next_draw
from shedgrade.actions.people import add_person
from shedgrade.actions.samples import FruitEntry
from shedgrade.actions.sign_ins import register_tablet
from shedgrade.demo.line import run_the_line
from shedgrade.demo.orchard import Bearing
from shedgrade.demo.picture import drawn_fault
from shedgrade.demo.season import Season, rejects_of, sample_of, season, spec_named
from shedgrade.domain import entry
from shedgrade.domain.crop import DefectKind
from shedgrade.domain.grading.one import Fruit
from shedgrade.domain.people import Person, Role
from shedgrade.domain.sampling.question import Question
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import read_tree, tree_of
from shedgrade.domain.units import DG_PER_G, G_PER_KG, round_half_up
from shedgrade.exchange.photo import read_photo
from shedgrade.reports.quote import Chosen, offers_of, quote_sheet
from shedgrade.storage import intake as books
from shedgrade.storage import markets as market_books
from shedgrade.storage import spec_drafts as drafts_in_books
from shedgrade.storage.bench import bench_sample
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as
from shedgrade.storage.quick_looks import look_for
from shedgrade.storage.tables import Consignment

_FRUIT_IN_A_BIN_G = 365_000  # a full bin of the demo's shed; the scale under it reads to half a kilogram
_SCALE_STEP_G = 500
_SECONDS_A_FRUIT = 11
_SECONDS_A_TAP = 2
_OFFICE, _AT_THE_DOCK, _AT_THE_BENCH = "the office browser", "Dock tablet", "Bench tablet 1"


@dataclass(slots=True)
class _Names:
    """What the story calls things, and the rows they became."""

    people: dict[str, int] = field(default_factory=dict)
    growers: dict[str, int] = field(default_factory=dict)
    blocks: dict[str, int] = field(default_factory=dict)
    bin_types: dict[str, int] = field(default_factory=dict)
    trays: dict[str, int] = field(default_factory=dict)
    markets: dict[str, int] = field(default_factory=dict)
    specs: dict[str, Spec] = field(default_factory=dict)
    newest: dict[str, int] = field(default_factory=dict)


def load(database: Database, progress: Progress, now: datetime | None = None) -> None:
    """Store the whole season in one transaction; at ``now``, or towards noon of the last day, one run is under way."""
    story = season()
    dockets = story.tables["docket"]
    bar = progress.add_task("Laying out three weeks of fruit", total=len(dockets))
    waiting = sorted(story.tables["quote"], key=lambda quote: int(quote["day"]))
    with database.writing() as session:
        names = _standing_books(session, story)
        for number, docket in enumerate(dockets, 1):
            while waiting and waiting[0]["day"] < docket["day"]:
                _quote(session, story, names, waiting.pop(0))
            _docket(session, story, names, docket, number)
            progress.advance(bar)
        for quote in waiting:
            _quote(session, story, names, quote)
        for number, run in enumerate(story.tables["run"], 1):
            _run(session, story, names, run, now or story.moment(story.tables["last_day"], "11:50"), number)
        session.commit()


def _by(session: Session, names: _Names, person: str, at: datetime, device: str = _OFFICE) -> None:
    """What comes next was done by this person, then and there: the history says so."""
    act_as(session, Actor(names.people[person], device, at))


def _standing_books(session: Session, story: Season) -> _Names:
    names = _Names()
    act_as(session, Actor(None, "", story.moment(-20, "07:00")))
    _people_and_growers(session, story, names)
    _bin_types(session, story, names)
    _trays(session, story, names)
    specs.publish_standards(session, story.moment(-20, "08:00"))
    for market in story.tables["market"]:
        _market(session, story, names, market)
    for draft in story.tables["spec_draft"]:
        _draft(session, story, names, draft)
    return names


def _people_and_growers(session: Session, story: Season, names: _Names) -> None:
    for person in story.tables["person"]:
        roles = frozenset(Role(role) for role in person["roles"])
        names.people[person["name"]] = add_person(session, person["name"], roles)
    _by(session, names, "Shed manager", story.moment(-20, "07:30"))
    for tablet in (_AT_THE_DOCK, _AT_THE_BENCH):
        register_tablet(session, tablet, names.people["Shed manager"], story.moment(-20, "07:30"))
    for grower in story.tables["grower"]:
        row = growers.add_grower(session, grower["name"], grower.get("contact", ""))
        names.growers[grower["name"]] = row.id or 0
        add_person(session, f"Grower of {grower['name']}", frozenset({Role.GROWER}), row.id)
    for block in story.tables["block"]:
        facts = growers.BlockFacts(block["name"], block["crop"], block["variety"], entry.hectares(block["hectares"]))
        names.blocks[block["name"]] = growers.add_block(session, names.growers[block["grower"]], facts).id or 0


def _bin_types(session: Session, story: Season, names: _Names) -> None:
    for bin_type in story.tables["bin_type"]:
        _by(session, names, "Shed manager", story.moment(-20, "07:45"))
        row = intake.add_bin_type(session, bin_type["name"])
        names.bin_types[bin_type["name"]] = row.id or 0
        for tare in bin_type["tares"]:
            _by(session, names, "Line supervisor", story.moment(tare["day"], "10:00"), _AT_THE_DOCK)
            facts = intake.TareFacts(story.day(tare["day"]), tare["empties"], entry.mass(tare["kg"]))
            intake.add_tare(session, row.id or 0, facts, names.people["Line supervisor"])


def _trays(session: Session, story: Season, names: _Names) -> None:
    _by(session, names, "Shed manager", story.moment(-20, "08:00"))
    for tray in story.tables["tray"]:
        heaviest = tray["heaviest"] * DG_PER_G if "heaviest" in tray else None
        facts = trays.TrayFacts(
            tray["name"], tray["crop"], entry.mass(tray["kg"]), tuple(tray["counts"]), heaviest, story.day(-20)
        )
        names.trays[tray["name"]] = trays.add_tray(session, facts).id or 0


def _market(session: Session, story: Season, names: _Names, market: Mapping[str, Any]) -> None:
    _by(session, names, "Shed manager", story.moment(-20, "08:30"))
    spec = spec_named(market["spec"])
    version = specs.publish(session, spec, story.moment(-20, "08:00"))
    tray_ids = [names.trays[tray] for tray in market["trays"]]
    row = markets.add_market(
        session, markets.MarketFacts(market["name"], market["currency"], version.id or 0, tray_ids)
    )
    names.markets[market["name"]], names.specs[market["name"]] = row.id or 0, spec
    for listed in market["prices"]:
        _prices(session, story, row.id or 0, market, listed, names)


def _draft(session: Session, story: Season, names: _Names, draft: Mapping[str, Any]) -> None:
    at = story.moment(draft["day"], "16:00")
    _by(session, names, "Shed manager", at)
    copied = specs.publish(session, spec_named(draft["copies"]), at)
    row = spec_drafts.copy(session, copied, draft["title"], spec_drafts.Writer(names.people["Shed manager"], at))
    begun = drafts_in_books.draft(session, row.id or 0)
    tree: dict[str, Any] = tree_of(begun.spec)
    (limit,) = (each for each in tree["limit"] if each["id"] == draft["limit"])
    for line in limit["rows"]:
        if line["class"] == draft["class"]:
            line["to"] = draft["allows"]
    spec_drafts.change_draft(session, begun, read_tree(tree, library.crops()), row.version)


def _prices(
    session: Session,
    story: Season,
    market_id: int,
    market: Mapping[str, Any],
    listed: Mapping[str, Any],
    names: _Names,
) -> None:
    _by(session, names, "Shed manager", story.moment(listed["day"], "09:00"))
    tray = market["trays"][0]
    counts = next(row["counts"] for row in story.tables["tray"] if row["name"] == tray)
    facts = prices.PriceFacts(
        valid_from=story.day(listed["day"]),
        note=listed.get("note", ""),
        tray_minor={
            (names.trays[tray], class_id, count): entry.money(price, market["currency"])
            for class_id, by_count in listed["tray"].items()
            for count, price in zip(counts, by_count, strict=True)
        },
        outlet_kg_minor={outlet: _kg_price(price, market["currency"]) for outlet, price in listed["outlet"].items()},
    )
    prices.add_prices(session, market_id, facts, story.day(listed["day"]))


def _kg_price(price: str, currency: str) -> int:
    """Below zero where being rid of the fruit costs money."""
    return -entry.money(price[1:], currency) if price.startswith("-") else entry.money(price, currency)


def _docket(session: Session, story: Season, names: _Names, docket: Mapping[str, Any], number: int) -> None:
    received = story.moment(docket["day"], docket["received"])
    _by(session, names, "Line supervisor", received, _AT_THE_DOCK)
    facts = intake.DocketFacts(f"N{100 + number}", docket.get("truck", ""), received)
    row = intake.add_docket(session, facts)
    for load_of in docket["consignment"]:
        seed = f"{story.tables['seed']} {docket['day']} {load_of['block']}"
        consignment = _consignment(session, story, names, docket, load_of, row.id or 0, Random(seed))
        _sampled(session, story, names, load_of, consignment, seed)


def _consignment(
    session: Session,
    story: Season,
    names: _Names,
    docket: Mapping[str, Any],
    load_of: Mapping[str, Any],
    docket_id: int,
    random: Random,
) -> Consignment:
    picked_from, picked_to = story.picked(docket["day"], load_of["picked"])
    received = story.moment(docket["day"], docket["received"])
    _by(session, names, "Line supervisor", received, _AT_THE_DOCK)
    facts = intake.ConsignmentFacts(
        block_id=names.blocks[load_of["block"]],
        market_id=names.markets[load_of["market"]],
        received_at=received,
        weighings=tuple(_weighings(session, names, load_of, received, random)),
        pick=intake.PickFacts(
            picked_from=picked_from,
            picked_to=picked_to,
            team=load_of.get("team", f"{_grower_of(story, load_of)} crew"),
            pulp_ddeg=entry.temperature(load_of["pulp"]) if "pulp" in load_of else None,
            grower_bins=load_of.get("counted"),
        ),
    )
    row = intake.add_consignment(session, docket_id, facts, names.people["Line supervisor"])
    names.newest[load_of["block"]] = row.id or 0
    if "wet_empties" in load_of:
        _wet_empties(session, names, load_of, row, received + timedelta(hours=20))
    return row


def _weighings(
    session: Session, names: _Names, load_of: Mapping[str, Any], received: datetime, random: Random
) -> Iterable[intake.WeighingFacts]:
    """Every bin weighed by itself; the part bin, if there is one, last."""
    bin_type = names.bin_types["Plastic half bin"]
    tare = books.tares_in_force(session, received.date())[bin_type]
    fruit = [round(random.gauss(_FRUIT_IN_A_BIN_G, 9_000)) for _ in range(load_of["bins"])]
    if "part" in load_of:
        fruit.append(load_of["part"] * G_PER_KG)
    empty = Fraction(tare.total_g, tare.empties)
    for place, grams in enumerate(fruit, 1):
        gross = round_half_up((grams + empty) / _SCALE_STEP_G) * _SCALE_STEP_G
        part = "part" in load_of and place == len(fruit)
        yield intake.WeighingFacts(1, bin_type, tare.id or 0, gross, part=part)


def _wet_empties(
    session: Session,
    names: _Names,
    load_of: Mapping[str, Any],
    row: Consignment,
    weighed_at: datetime,
) -> None:
    _by(session, names, "Line supervisor", weighed_at, _AT_THE_DOCK)
    whole = books.consignment_for(session, _anybody(names), row.id or 0)
    facts = intake.TareFacts(weighed_at.date(), load_of["bins"], entry.mass(load_of["wet_empties"]), wet=True)
    bin_type = names.bin_types["Plastic half bin"]
    intake.weigh_empties(session, whole, bin_type, facts, weighed_at, names.people["Line supervisor"])


def _sampled(
    session: Session,
    story: Season,
    names: _Names,
    load_of: Mapping[str, Any],
    consignment: Consignment,
    seed: str,
) -> None:
    """The intake sample, and where the story has one, a sample of the reject belt or of packed trays."""
    bearing, spec = story.bearing(load_of), names.specs[load_of["market"]]
    taker = _Taker(session, names, load_of, consignment)
    taker.take(Question.INTAKE, sample_of(bearing, load_of, spec, seed), timedelta(minutes=40))
    if "dry_matter" in load_of:
        _maturity(session, names, load_of, spec, consignment)
    if "quick_look" in load_of:
        _quick_look(session, names, load_of, consignment, seed)
    for number, kind in enumerate(load_of.get("photos", ()), 1):
        _photo(session, names, consignment, spec.crop.kind(kind), f"{seed} photo {number}")
    if "belt" in load_of:
        rejects = rejects_of(bearing, spec, load_of["belt"], 7, f"{seed} belt")
        taker.take(Question.REJECT_BELT, [rejects], timedelta(hours=3))
    if "tray_check" in load_of:
        taker.take(Question.PACKED_TRAY, _packed(bearing, load_of, spec, seed), timedelta(hours=18))


def _maturity(
    session: Session, names: _Names, load_of: Mapping[str, Any], spec: Spec, consignment: Consignment
) -> None:
    """Ten fruit cut on the day they came in, a figure for each."""
    grader = load_of.get("grader", "Day grader")
    at = consignment.received_at + timedelta(hours=2)
    _by(session, names, grader, at, _AT_THE_BENCH)
    figures = entry.figures(load_of["dry_matter"], spec.crop.measure("dry-matter"))
    facts = maturity.MaturityFacts(at.date(), len(figures), cut=True, readings={"dry-matter": figures})
    maturity.add_test(session, consignment.id or 0, facts, names.people[grader], at)


def _quick_look(
    session: Session, names: _Names, load_of: Mapping[str, Any], consignment: Consignment, seed: str
) -> None:
    """A tray weighed whole and tapped fruit by fruit, in no order."""
    looked, grader = load_of["quick_look"], load_of.get("grader", "Day grader")
    at = consignment.received_at + timedelta(minutes=20)
    _by(session, names, grader, at, _AT_THE_BENCH)
    tray = quick_looks.TrayFacts(entry.mass(looked["gross"]), entry.mass(looked["tare"]), looked["fruit"])
    row = quick_looks.begin(session, consignment.id or 0, tray, names.people[grader], at)
    taps = [(class_id, kind) for class_id, kind, fruit in looked["tapped"] for _ in range(fruit)]
    for class_id, kind in Random(f"{seed} by eye").sample(taps, len(taps)):
        at += timedelta(seconds=_SECONDS_A_TAP)
        _, look = look_for(session, _anybody(names), row.id or 0)
        quick_looks.tap(session, look, class_id, kind, names.people[grader], at)


def _photo(session: Session, names: _Names, consignment: Consignment, kind: DefectKind, seed: str) -> None:
    at = consignment.received_at + timedelta(minutes=50)
    _by(session, names, "Day grader", at, _AT_THE_BENCH)
    picture = read_photo(drawn_fault(seed))
    facts = photos.PhotoFacts(kind, picture.jpeg, picture.width, picture.height)
    photos.add_photo(session, consignment.id or 0, facts, names.people["Day grader"], at)


def _packed(bearing: Bearing, load_of: Mapping[str, Any], spec: Spec, seed: str) -> Sequence[Sequence[Fruit]]:
    """So many trays of 16 as they were packed: all good but for one fruit that slipped by."""
    fruit = rejects_of(bearing, spec, 16 * load_of["tray_check"], 16 * load_of["tray_check"] - 1, f"{seed} trays")
    return [fruit[start : start + 16] for start in range(0, len(fruit), 16)]


@dataclass(frozen=True, slots=True)
class _Taker:
    """Takes samples of one consignment, as a grader would."""

    session: Session
    names: _Names
    load_of: Mapping[str, Any]
    consignment: Consignment

    def take(self, question: Question, draws: Sequence[Sequence[Fruit]], after: timedelta) -> None:
        """Store one sample, draw after draw, fruit after fruit."""
        grader = self.load_of.get("grader", "Day grader")
        person_id = self.names.people[grader]
        at = self.consignment.received_at.astimezone(UTC) + after
        _by(self.session, self.names, grader, at, _AT_THE_BENCH)
        tray = market_books.market(self.session, self.consignment.market_id).trays[0][0]
        started = samples.start_sample(self.session, self.consignment.id or 0, question, tray, person_id, at)
        bench = bench_sample(self.session, started.id or 0)
        for drawn in draws:
            opened = next_draw(self.session, bench)
            bench = replace(bench, draw=opened)
            for fruit in drawn:
                key = f"demo {bench.id} {bench.fruit + 1}"
                at += timedelta(seconds=_SECONDS_A_FRUIT)
                samples.save_fruit(self.session, bench, FruitEntry(fruit, None, key, person_id, at))
                bench = replace(bench, fruit=bench.fruit + 1)


def _quote(session: Session, story: Season, names: _Names, quote: Mapping[str, Any]) -> None:
    _by(session, names, "Marketer", story.moment(quote["day"], "15:30"))
    market = market_books.market(session, names.markets[quote["market"]])
    wholes = [books.consignment_for(session, _anybody(names), names.newest[block]) for block in quote["from"]]
    sheet = quote_sheet(session, market, market.trays[0][0], wholes, story.day(quote["day"]))
    cells = {(cell.class_id, cell.count): cell for cell in sheet.cells}
    chosen = [
        Chosen(cells[class_id, count], trays, cells[class_id, count].list_minor or 0)
        for class_id, count, trays in quote["lines"]
    ]
    facts = quotes.QuoteFacts(
        market_id=market.id,
        spec_version_id=sheet.spec_version.id or 0,
        currency=market.market.currency,
        tray_type_id=sheet.tray_type_id,
        buyer=quote["buyer"],
        basis=quote["basis"],
        note=quote.get("note", ""),
        valid_until=story.day(quote["valid"]),
        sources={source.whole.id: (source.n_fruit, source.n_draws) for source in sheet.sources},
        offers=offers_of(sheet, chosen),
    )
    quotes.make_quote(session, facts, names.people["Marketer"], story.moment(quote["day"], "15:30"))


def _run(session: Session, story: Season, names: _Names, run: Mapping[str, Any], now: datetime, number: int) -> None:
    begins = story.moment(run["day"], run["from"]) if "from" in run else now - timedelta(minutes=run["ago"])
    _by(session, names, "Line supervisor", begins, _AT_THE_DOCK)
    people = {name: Person(person_id, name, frozenset({Role.SUPERVISOR})) for name, person_id in names.people.items()}
    consignment_id = names.newest[run["block"]]
    run_the_line(session, run, consignment_id, begins, people, f"{story.tables['seed']} run {number}")


def _grower_of(story: Season, load_of: Mapping[str, Any]) -> str:
    return str(story.block(load_of["block"])["grower"])


def _anybody(names: _Names) -> Person:
    return Person(names.people["Shed manager"], "Shed manager", frozenset({Role.MANAGER}))
