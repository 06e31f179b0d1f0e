"""Every page of the app on the demo season: who opens it, and at which address."""

from collections.abc import Mapping
from typing import NamedTuple

from sqlmodel import Session, col, func, select

from shedgrade.storage.database import Database
from shedgrade.storage.tables import (
    Consignment,
    FruitDefect,
    FruitRow,
    MaturityTest,
    PersonRow,
    Photo,
    QuickLook,
    Quote,
    Run,
    Sample,
    SharedBinRow,
    SpecDraft,
    SpecVersion,
)
from shedgrade.web.routes import ROUTERS

_MANAGER, _SUPERVISOR, _GRADER = "Shed manager", "Line supervisor", "Day grader"
_MARKETER, _GROWER = "Marketer", "Grower of Quillock Rise"

# No pages: the first sends on to another, then files to keep, what a tablet judges by and asks for, and a script with
# the list of what it keeps; the others are there before the season only, by https only, and for a bench and a board
# that ask by themselves.
NOT_PAGES = frozenset(
    {
        "/",
        "/specs/{spec_version_id}/file",
        "/drafts/{draft_id}/file",
        "/area-card/{paper}",
        "/photos/{photo_id}/file",
        "/samples/{sample_id}/rules",
        "/samples/{sample_id}/side",
        "/runs/{run_id}/board/now",
        "/fruit-entries",
        "/service-worker.js",
        "/bench-parts",
        "/set-up",
        "/authority",
        "/authority.crt",
        "/scales/here",
    }
)

# For each GET route the people who open it, and what follows its address; the words in braces are ids of the season.
_VISITS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "/people": ((_MANAGER, ""),),
    "/people/new": ((_MANAGER, ""),),
    "/people/{person_id}": ((_MANAGER, ""),),
    "/people/{person_id}/password": ((_MANAGER, ""),),
    "/people/{person_id}/pin": ((_MANAGER, ""),),
    "/settings": ((_MANAGER, ""),),
    "/settings/{key}/new": ((_MANAGER, ""),),
    "/sign-in": ((_MANAGER, ""), (_MANAGER, "?by=password")),
    "/me": ((_GRADER, ""),),
    "/scales": ((_GRADER, ""),),
    "/devices": ((_MANAGER, ""), (_GRADER, "")),
    "/growers": ((_MANAGER, ""),),
    "/growers/new": ((_MANAGER, ""),),
    "/growers/{grower_id}": ((_MANAGER, ""),),
    "/growers/{grower_id}/history": ((_MANAGER, ""),),
    "/blocks/{block_id}/history": ((_GROWER, ""),),
    "/consignments/{consignment_id}/history": ((_MANAGER, ""), (_GROWER, "")),
    "/samples/{sample_id}/history": ((_GRADER, ""),),
    "/markets/{market_id}/history": ((_MARKETER, ""),),
    "/quotes/{quote_id}/history": ((_MARKETER, ""), (_MARKETER, "?skip=100")),
    "/people/{person_id}/history": ((_MANAGER, ""),),
    "/settings/history": ((_MANAGER, ""),),
    "/bins/history": ((_SUPERVISOR, ""),),
    "/trays/history": ((_MARKETER, ""),),
    "/specs/history": ((_GROWER, ""),),
    "/blocks": ((_GROWER, ""),),
    "/blocks/new": ((_MANAGER, "?grower={grower_id}"),),
    "/blocks/{block_id}": ((_MANAGER, ""), (_GROWER, "")),
    "/blocks/{block_id}/edit": ((_MANAGER, ""),),
    "/bins": ((_SUPERVISOR, ""),),
    "/bins/new": ((_SUPERVISOR, ""),),
    "/bins/{bin_type_id}/tares/new": ((_SUPERVISOR, ""),),
    "/dockets/new": ((_SUPERVISOR, ""),),
    "/dockets/{docket_id}": ((_SUPERVISOR, ""),),
    "/dockets/{docket_id}/edit": ((_SUPERVISOR, ""),),
    "/dockets/{docket_id}/consignments/new": ((_SUPERVISOR, ""),),
    "/consignments": ((_SUPERVISOR, ""), (_SUPERVISOR, "?until=2026-01-14")),
    "/consignments/{consignment_id}": ((_SUPERVISOR, ""), (_GROWER, "")),
    "/consignments/{consignment_id}/edit": ((_SUPERVISOR, ""),),
    "/consignments/{consignment_id}/receipt": ((_SUPERVISOR, ""),),
    "/consignments/{consignment_id}/empties": ((_SUPERVISOR, ""),),
    "/consignments/{consignment_id}/sample-file": ((_GRADER, ""),),
    "/consignments/{consignment_id}/packout": ((_MARKETER, ""), (_GROWER, "?base=number")),
    "/consignments/{consignment_id}/breaks": ((_MARKETER, "?aim=money"), (_SUPERVISOR, "?rule=few&most=3")),
    "/consignments/{consignment_id}/maturity": ((_GRADER, ""), (_GROWER, "")),
    "/consignments/{consignment_id}/maturity/{test_id}": ((_GRADER, ""),),
    "/samples/{sample_id}": ((_GRADER, ""), (_GROWER, "")),
    "/samples/{sample_id}/fruit": ((_GRADER, ""),),
    "/samples/{sample_id}/lot": ((_GRADER, ""), (_GROWER, "?class=I&basis=number")),
    "/fruit/{fruit_id}": ((_GRADER, ""),),
    "/consignments/{consignment_id}/quick-looks/new": ((_GRADER, ""),),
    "/quick-looks/{look_id}": ((_GRADER, ""), (_GROWER, "")),
    "/quick-looks/{look_id}/tapping": ((_GRADER, ""), (_GRADER, "?class=none")),
    "/consignments/{consignment_id}/photos/new": ((_GRADER, ""),),
    "/photos/{photo_id}": ((_GRADER, ""), (_GROWER, "")),
    "/area-card": ((_GRADER, ""),),
    "/screen": ((_GRADER, ""),),
    "/unsent": ((_GRADER, ""),),
    "/unsent/file": ((_SUPERVISOR, ""),),
    "/runs": ((_SUPERVISOR, ""),),
    "/runs/new": ((_SUPERVISOR, ""), (_SUPERVISOR, "?consignment={consignment_id}")),
    "/runs/{run_id}": ((_SUPERVISOR, ""), (_MARKETER, "")),
    "/runs/{run_id}/line": ((_SUPERVISOR, ""),),
    "/runs/{run_id}/weights": ((_SUPERVISOR, ""), (_MARKETER, "")),
    "/runs/{run_id}/breaks": ((_SUPERVISOR, "?rule=few&most=3"), (_MANAGER, "?aim=money")),
    "/runs/{run_id}/card": ((_GRADER, ""), (_GRADER, "?paper=lying")),
    "/runs/{run_id}/board": ((_SUPERVISOR, ""), (_GRADER, "")),
    "/runs/{run_id}/balance": ((_SUPERVISOR, ""), (_MARKETER, "")),
    "/shared-bins": ((_SUPERVISOR, "?run={run_id}"), (_GRADER, "")),
    "/shared-bins/{shared_bin_id}": ((_SUPERVISOR, ""), (_GRADER, "")),
    "/trays": ((_MANAGER, ""),),
    "/trays/new": ((_MANAGER, "?replacing=1"),),
    "/markets": ((_MANAGER, ""),),
    "/markets/new": ((_MANAGER, ""),),
    "/markets/{market_id}": ((_MANAGER, ""), (_MARKETER, "")),
    "/markets/{market_id}/edit": ((_MANAGER, ""),),
    "/markets/{market_id}/prices/new": ((_MANAGER, ""),),
    "/quotes": ((_MARKETER, ""),),
    "/quotes/new": (
        (_MARKETER, ""),
        (_MARKETER, "?market={market_id}"),
        (_MARKETER, "?market={market_id}&consignment={consignment_id}"),
    ),
    "/quotes/{quote_id}": ((_MARKETER, ""),),
    "/specs": ((_MANAGER, ""),),
    "/specs/{spec_version_id}": ((_MANAGER, ""), (_GROWER, "")),
    "/specs/{spec_version_id}/comparison": ((_MANAGER, ""), (_GRADER, "?with=2")),
    "/specs/{spec_version_id}/history": ((_MANAGER, ""),),
    "/specs/{spec_version_id}/copy": ((_MANAGER, ""),),
    "/specs/{spec_version_id}/confirmations": ((_MANAGER, ""),),
    "/specs/new": ((_MANAGER, ""),),
    "/specs/import": ((_MANAGER, ""),),
    "/drafts/{draft_id}": ((_MANAGER, ""), (_GRADER, "")),
    "/drafts/{draft_id}/trial": (
        (_MANAGER, ""),
        (_MANAGER, "?weight=412&mark-rub=2.5"),
        (_MANAGER, "?weight=412"),
    ),
    "/drafts/{draft_id}/trial/samples/{sample_id}": ((_MANAGER, ""),),
    "/drafts/{draft_id}/parts/{part}": ((_MANAGER, ""),),
    "/drafts/{draft_id}/comparison": ((_MANAGER, ""),),
    "/drafts/{draft_id}/publishing": ((_MANAGER, ""),),
    "/drafts/{draft_id}/history": ((_MANAGER, ""),),
}


class Visit(NamedTuple):
    """One person opening one address, in braces the ids of the season."""

    person: str
    address: str

    def __str__(self) -> str:
        return f"{self.address} as {self.person}"


# What is said instead of a page: nothing there, not theirs, not their job.
REFUSALS = (Visit(_MANAGER, "/nothing"), Visit(_GROWER, "/blocks/3"), Visit(_GRADER, "/quotes"))
# A draft's parts have one form, drawn from as many descriptions.
_OTHER_PARTS = ("title", "classes", "sizes", "limits", "new-limit", "tolerances", "outlets")
EVERY_VISIT = (
    *(
        Visit(person, (route + rest).replace("{key}", "keeping-years").replace("{part}", "limit-skin-marks"))
        for route, each in _VISITS.items()
        for person, rest in each
    ),
    *(Visit(_MANAGER, f"/drafts/{{draft_id}}/parts/{part}") for part in _OTHER_PARTS),
    *REFUSALS,
)


def routes_left_out() -> set[str]:
    """GET routes that nobody opens here."""
    return _get_routes() - set(_VISITS) - NOT_PAGES


def _get_routes() -> set[str]:
    routes = [route for router in ROUTERS for route in router.routes]
    return {route.path for route in routes if "GET" in (route.methods or ())}  # type: ignore[attr-defined]


def season_ids(database: Database) -> dict[str, int]:
    """Ids that hang together: the newest consignment of the grower's first block, its market, its sample."""
    with database.reading() as session:
        newest = _newest_of_block(session, 1)
        sample_id = session.exec(select(func.min(Sample.id)).where(Sample.consignment_id == newest.id)).one() or 0
        marked = select(func.min(FruitRow.id)).join(FruitDefect).where(FruitRow.sample_id == sample_id)
        tested = select(func.min(MaturityTest.id)).where(MaturityTest.consignment_id == newest.id)
        looked = select(func.min(QuickLook.id)).where(QuickLook.consignment_id == newest.id)
        return {
            "grower_id": 1,
            "block_id": 1,
            "bin_type_id": 1,
            "docket_id": newest.docket_id,
            "consignment_id": newest.id or 0,
            "sample_id": sample_id,
            "person_id": 1,
            "fruit_id": session.exec(marked).one() or 0,
            "test_id": session.exec(tested).one() or 0,
            "photo_id": session.exec(select(func.min(Photo.id)).where(Photo.consignment_id == newest.id)).one() or 0,
            "look_id": session.exec(looked).one() or 0,
            "market_id": newest.market_id,
            "quote_id": session.exec(select(func.max(Quote.id))).one() or 0,
            "run_id": session.exec(select(func.max(Run.id))).one() or 0,
            "shared_bin_id": session.exec(select(func.max(SharedBinRow.id))).one() or 0,
            "draft_id": session.exec(select(func.min(SpecDraft.id))).one() or 0,
            "spec_version_id": session.exec(select(func.min(SpecVersion.id))).one() or 0,
        }


def _newest_of_block(session: Session, block_id: int) -> Consignment:
    query = select(Consignment).where(Consignment.block_id == block_id)
    return session.exec(query.order_by(col(Consignment.received_at).desc())).all()[0]


def person_ids(database: Database) -> dict[str, int]:
    """Everybody by name."""
    with database.reading() as session:
        return {person.name: person.id or 0 for person in session.exec(select(PersonRow))}
