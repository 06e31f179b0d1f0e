"""One small consignment, known fruit by fruit, whose pack-out is worked out by hand in tests/reports/test_packout.py.

800 kg net from two bins; the tray holds 7 kg, so that fruit from 500 g on are 14s, from 437.5 g 16s, from 389 g
(7000 / 18 = 388.9) 18s, from 350 g 20s, and lighter ones are too small.
The spec is Codex CXS 184 as it comes with the program.

    bin 1: 400 g clean                Extra   18s      bin 2: 500 g clean                Extra   14s
           440 g sap stain 3 cm²      I       16s             400 g wind rub 2 cm²       I       18s
           400 g sap stain 5 cm²      II      18s             300 g clean                Extra   too small
           400 g rot                  none                    400 g clean                Extra   18s
           360 g clean                Extra   20s             400 g sap stain 9 cm²      none
"""

from collections.abc import Sequence
from typing import NamedTuple

from sqlmodel import Session

from tests.support import season
from tests.support.season import Mark

Fruit = tuple[int, tuple[Mark, ...]]

BIN_1: tuple[Fruit, ...] = (
    (4000, ()),
    (4400, (Mark("sap-stain", 300),)),
    (4000, (Mark("sap-stain", 500),)),
    (4000, (Mark("rot"),)),
    (3600, ()),
)
BIN_2: tuple[Fruit, ...] = (
    (5000, ()),
    (4000, (Mark("wind-rub", 200),)),
    (3000, ()),
    (4000, ()),
    (4000, (Mark("sap-stain", 900),)),
)


class Worked(NamedTuple):
    """The ids of what was stored."""

    grower: int
    block: int
    market: int
    tray: int
    consignment: int
    bins: tuple[int, ...]


def consignment(session: Session, *, prices: bool = True) -> Worked:
    """The consignment before anybody looked at it."""
    grower_id = season.grower(session)
    block_id = season.block(session, grower_id)
    tray_id = season.tray_type(session)
    market_id = season.market(session, season.spec_version(session), [tray_id])
    if prices:
        _prices(session, market_id, tray_id)
    consignment_id = season.consignment(session, block_id, market_id)
    bins = tuple(season.bins_of(session, consignment_id))
    return Worked(grower_id, block_id, market_id, tray_id, consignment_id, bins)


def looked_at(session: Session, worked: Worked, *, named_tray: bool = True) -> int:
    """Both bins looked at, in one intake sample."""
    sample_id = season.sample(session, worked.consignment, tray_type_id=worked.tray if named_tray else None)
    draw_all(session, sample_id, worked.bins[0], BIN_1)
    draw_all(session, sample_id, worked.bins[1], BIN_2)
    return sample_id


def draw_all(session: Session, sample_id: int, bin_id: int | None, fruit: Sequence[Fruit]) -> int:
    """One draw of these fruit."""
    draw_id = season.draw(session, sample_id, bin_id)
    season.many_fruit(session, draw_id, fruit)
    return draw_id


def _prices(session: Session, market_id: int, tray_id: int) -> None:
    """In cents: Extra 14s 2800, 18s 2700, 20s 2400; I 16s 2400, 18s 2160; II none. A kilogram of waste costs 10."""
    trays = {("Extra", 14): 2800, ("Extra", 18): 2700, ("Extra", 20): 2400, ("I", 16): 2400, ("I", 18): 2160}
    season.price_list(
        session,
        market_id,
        {(tray_id, class_id, fruit_count): price for (class_id, fruit_count), price in trays.items()},
        {"loose-bulk": 50, "processing": 20, "waste": -10},
    )
