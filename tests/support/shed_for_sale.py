"""A shed that can receive, sample and sell, and no fruit in it yet: people, bins, trays, a market and its prices."""

from typing import NamedTuple

from sqlmodel import Session

from shedgrade.actions.intake import TareFacts, add_bin_type, add_tare
from shedgrade.demo.season import spec_named
from shedgrade.domain.people import Role
from tests.support import season
from tests.support.season import BIN_TARE_G, TARES_WEIGHED

COUNTS = (12, 14, 16, 18, 20)


class ShedForSale(NamedTuple):
    """Ids of its people, and of a block of some grower's."""

    manager: int
    supervisor: int
    marketer: int
    other_block: int


def shed_for_sale(session: Session) -> ShedForSale:
    """Store what is in the books before the story's grower comes: Class I of the spec has at most 4 cm² of skin marks
    from 350 g on, a dry empty weighs 40 kg, and the tray holds 7 kg."""
    supervisor = season.shed_person(session, "Sela", Role.SUPERVISOR)
    bin_type = add_bin_type(session, "Half-ton plastic").id or 0
    add_tare(session, bin_type, TareFacts(TARES_WEIGHED, 5, 5 * BIN_TARE_G), supervisor)
    tray = season.tray_type(session, counts=COUNTS)
    market = season.market(session, season.spec_version(session, spec_named("kestrow-mango")), [tray])
    season.price_list(session, market, {(tray, "I", count): 2_400 for count in COUNTS}, {"juice": 45})
    return ShedForSale(
        manager=season.shed_person(session, "Maro", Role.MANAGER),
        supervisor=supervisor,
        marketer=season.shed_person(session, "Merle", Role.MARKETER),
        other_block=season.block(session, season.grower(session, "Windhollow"), "Far corner"),
    )
