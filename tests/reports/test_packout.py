"""A consignment small enough to work out by hand (tests/support/worked.py): every figure of its report.

Weights in decigrams: bin 1 holds 20 000, bin 2 20 000, together 40 000 dg = 4 kg on 10 fruit; the net is 800 kg.
"""

from fractions import Fraction
from math import sqrt

import pytest
from sqlmodel import Session

from shedgrade.domain.people import Person, Role
from shedgrade.domain.sampling.estimate import Estimate, Method
from shedgrade.domain.spec import library
from shedgrade.reports.packout import Findings, PackoutReport, packout_of, promised_cells, tray_cells
from shedgrade.reports.tray_choice import TrayChoice
from shedgrade.storage import markets
from shedgrade.storage.database import Database
from shedgrade.storage.intake import ConsignmentWhole, consignment_for
from tests.support import season, worked
from tests.support.season import Mark
from tests.support.worked import Worked

MANAGER = Person(1, "Manager", frozenset([Role.MANAGER]))
T_1 = 12.7062  # Student's t, 97.5 %, one degree of freedom, as in any printed table


def whole_of(session: Session, case: Worked) -> ConsignmentWhole:
    return consignment_for(session, MANAGER, case.consignment)


def report_of(session: Session, case: Worked) -> PackoutReport:
    prices = markets.prices_in_force(session, case.market, season.RECEIVED.date())
    return packout_of(session, whole_of(session, case), prices)


def findings_of(session: Session, case: Worked) -> Findings:
    findings = report_of(session, case).findings
    assert findings is not None
    return findings


def share_range(share: float, variance: float, t: float) -> tuple[float, float]:
    """Wilson's range with Student's t, written out: all shares p with |p - share| <= t sqrt(p (1 - p) / alike)."""
    alike = share * (1 - share) / variance
    middle, half = share + t * t / (2 * alike), t * sqrt(share * (1 - share) / alike + t * t / (4 * alike**2))
    return (middle - half) / (1 + t * t / alike), (middle + half) / (1 + t * t / alike)


def assert_range(estimate: Estimate, expected: tuple[float, float]) -> None:
    assert estimate.low is not None
    assert estimate.high is not None
    assert (float(estimate.low), float(estimate.high)) == pytest.approx(expected, rel=1e-4)


def test_classes_by_number_and_by_weight(database: Database) -> None:
    with database.writing() as session:
        case = worked.consignment(session)
        worked.looked_at(session, case)
        findings = findings_of(session, case)
    by_class = {row.class_id: row for row in findings.packout.classes}
    assert findings.found == {"Extra": 5, "I": 2, "II": 1, None: 2}
    # Extra: 400 + 360 g of bin 1, 500 + 300 + 400 g of bin 2, so 1960 of 4000 g.
    assert by_class["Extra"].by_number.value == Fraction(5, 10)
    assert by_class["Extra"].by_weight.value == Fraction(1960, 4000)
    assert by_class["I"].by_weight.value == Fraction(840, 4000)
    assert by_class["II"].by_weight.value == Fraction(400, 4000)
    assert by_class[None].by_weight.value == Fraction(800, 4000)
    assert by_class["Extra"].mass_g.value == 392_000
    assert (by_class["Extra"].by_number.n_fruit, by_class["Extra"].by_number.n_draws) == (10, 2)
    # By number 2 of 5 and 3 of 5: variance 2/1 * ((2 - 2.5)^2 + (3 - 2.5)^2) / 10^2 = 0.01.
    assert_range(by_class["Extra"].by_number, share_range(0.5, 0.01, T_1))
    # By weight 760 and 1200 of 2000 each: variance 2 * 2 * 220^2 / 4000^2 = 0.0121.
    assert_range(by_class["Extra"].by_weight, share_range(0.49, 0.0121, T_1))


def test_pack_out_is_what_goes_into_trays(database: Database) -> None:
    with database.writing() as session:
        case = worked.consignment(session)
        worked.looked_at(session, case)
        report = report_of(session, case)
    assert report.findings is not None
    # Bin 1 packs 400 + 440 + 400 + 360 = 1600 g, bin 2 500 + 400 + 400 = 1300 g: 2900 of 4000 g.
    assert report.findings.packout.pack_out.value == Fraction(29, 40)
    assert report.findings.packed_by_number.value == Fraction(7, 10)
    assert report.findings.packout.fruit.value == 2000
    assert report.net_g == 800_000
    # Variance 2 * 2 * 150^2 / 4000^2.
    assert_range(report.findings.packout.pack_out, share_range(0.725, 4 * 150**2 / 4000**2, T_1))


def test_expected_trays_of_every_class_and_count(database: Database) -> None:
    """800 kg received over the mean fruit of 400 g is 2000 fruit; times the cell's share by number, over the count."""
    with database.writing() as session:
        case = worked.consignment(session)
        worked.looked_at(session, case)
        findings = findings_of(session, case)
    cells = [(cell.class_id, cell.count, cell.found, cell.trays.value) for cell in findings.cells]
    assert cells == [
        ("Extra", 14, 1, Fraction(200, 14)),
        ("Extra", 18, 2, Fraction(400, 18)),
        ("Extra", 20, 1, Fraction(200, 20)),
        ("I", 16, 1, Fraction(200, 16)),
        ("I", 18, 1, Fraction(200, 18)),
        ("II", 18, 1, Fraction(200, 18)),
    ]
    assert findings.cells[1].by_number.value == Fraction(2, 10)
    assert findings.cells[1].by_weight.value == Fraction(800, 4000)


def test_value_at_the_prices_of_the_day_received(database: Database) -> None:
    """Cents a fruit: 2700/18 = 150, 2400/16 = 150, none, 0.4 kg * -10 = -4, 2400/20 = 120 in bin 1;
    2800/14 = 200, 2160/18 = 120, 0.3 * 50 = 15, 150, 0.4 * 20 = 8 in bin 2. Together 909 on 4 kg, so 200 times that."""
    with database.writing() as session:
        case = worked.consignment(session)
        worked.looked_at(session, case)
        report = report_of(session, case)
    assert report.findings is not None
    packout = report.findings.packout
    assert packout.value_minor is not None
    assert packout.value_minor.value == 181_800
    by_class = {row.class_id: row.value_minor.value for row in packout.classes if row.value_minor is not None}
    assert by_class == {"Extra": 127_000, "I": 54_000, "II": 0, None: 800}
    assert packout.unpriced == 1
    assert report.prices is not None
    assert report.prices.valid_from == season.TARES_WEIGHED


def test_no_price_list_gives_no_value(database: Database) -> None:
    with database.writing() as session:
        case = worked.consignment(session, prices=False)
        worked.looked_at(session, case)
        report = report_of(session, case)
    assert report.prices is None
    assert report.findings is not None
    assert report.findings.packout.value_minor is None


def test_what_is_not_packed_goes_to_its_outlet_with_the_reason(database: Database) -> None:
    with database.writing() as session:
        case = worked.consignment(session)
        worked.looked_at(session, case)
        findings = findings_of(session, case)
    cases = [(case_.outlet_id, case_.why, case_.found, case_.mass_g.value) for case_ in findings.outlet_cases]
    assert cases == [
        ("waste", "makes no class", 1, Fraction(80_000)),
        ("loose-bulk", "too small for this tray", 1, Fraction(60_000)),
        ("processing", "makes no class", 1, Fraction(80_000)),
    ]


def test_what_marked_fruit_down(database: Database) -> None:
    with database.writing() as session:
        case = worked.consignment(session)
        worked.looked_at(session, case)
        findings = findings_of(session, case)
    causes = [(each.cause.name, each.found, each.by_number.value) for each in findings.causes]
    assert causes == [
        ("sap stain", 3, Fraction(3, 10)),
        ("rot", 1, Fraction(1, 10)),
        ("wind rub", 1, Fraction(1, 10)),
    ]
    assert findings.causes_too_close  # two bins cannot tell 3 from 1
    assert findings.too_close == ("Extra", "I")


def test_a_cause_is_shared_among_the_fruit_that_were_looked_at_for_it(database: Database) -> None:
    """Sap stain on 2 of 4; the other file's six fruit were looked at for rot only, as is a seventh that has it."""
    with database.writing() as session:
        case = worked.consignment(session)
        stained = [(4000, (Mark("sap-stain", 500),)), (4000, ())]
        sample_ids = []
        for looked_for, fruit in (("", stained), ("rot", [(4000, ())] * 3)):
            sample_ids.append(season.sample(session, case.consignment, tray_type_id=case.tray, looked_for=looked_for))
            for bin_id in case.bins:
                worked.draw_all(session, sample_ids[-1], bin_id, fruit)
        rotten = season.draw(session, sample_ids[-1], case.bins[0])
        season.fruit(session, rotten, 4000, Mark("rot"))
        findings = findings_of(session, case)
    causes = [(each.cause.name, each.found, each.by_number.n_fruit, each.by_number.value) for each in findings.causes]
    assert causes == [("sap stain", 2, 4, Fraction(1, 2)), ("rot", 1, 11, Fraction(1, 11))]
    assert findings.causes[0].by_number.low is not None
    assert findings.fruit_not_judged == 6  # the rotten one makes no class, whatever else it may have


def test_one_bin_gives_no_range(database: Database) -> None:
    with database.writing() as session:
        case = worked.consignment(session)
        sample_id = season.sample(session, case.consignment, tray_type_id=case.tray)
        worked.draw_all(session, sample_id, case.bins[0], worked.BIN_1)
        findings = findings_of(session, case)
    assert findings.packout.pack_out.value == Fraction(4, 5)
    assert findings.packout.pack_out.method is Method.ONE_BIN
    assert findings.packout.pack_out.low is None
    assert all(cell.trays.low is None for cell in findings.cells)
    assert findings.more_bins is None


def test_a_bin_drawn_from_twice_is_one_draw(database: Database) -> None:
    with database.writing() as session:
        case = worked.consignment(session)
        for fruit in (worked.BIN_1, worked.BIN_2):
            sample_id = season.sample(session, case.consignment, tray_type_id=case.tray)
            worked.draw_all(session, sample_id, case.bins[0], fruit)
        findings = findings_of(session, case)
    assert (findings.packout.n_fruit, findings.packout.n_draws) == (10, 1)


def test_two_intake_samples_pool_their_draws(database: Database) -> None:
    with database.writing() as session:
        together = worked.consignment(session)
        worked.looked_at(session, together)
        both = findings_of(session, together)
        other = season.consignment(session, together.block, together.market, number="1043")
        apart = together._replace(consignment=other, bins=tuple(season.bins_of(session, other)))
        for bin_id, fruit in zip(apart.bins, (worked.BIN_1, worked.BIN_2), strict=True):
            worked.draw_all(session, season.sample(session, other, tray_type_id=apart.tray), bin_id, fruit)
        pooled = report_of(session, apart)
    assert pooled.findings is not None
    assert pooled.findings.packout == both.packout
    assert len(pooled.looked.sample_ids) == 2


@pytest.mark.parametrize("question", ["table", "packed tray", "reject belt"])
def test_a_sample_of_another_question_is_never_pooled(database: Database, question: str) -> None:
    with database.writing() as session:
        case = worked.consignment(session)
        worked.looked_at(session, case)
        before = findings_of(session, case)
        other = season.sample(session, case.consignment, question=question)
        worked.draw_all(session, other, case.bins[0], [(4000, (Mark("rot"),))] * 6)
        report = report_of(session, case)
    assert report.findings == before
    assert report.looked.others == ((question, 6),)


def test_a_voided_fruit_does_not_count(database: Database) -> None:
    with database.writing() as session:
        case = worked.consignment(session)
        sample_id = worked.looked_at(session, case)
        draw_id = season.draw(session, sample_id, case.bins[0])
        season.void(session, season.fruit(session, draw_id, 9000))
        assert findings_of(session, case).packout.n_fruit == 10


def test_nothing_looked_at_says_so(database: Database) -> None:
    with database.writing() as session:
        case = worked.consignment(session)
        report = report_of(session, case)
        cells = tray_cells(session, whole_of(session, case), markets.tray_type(session, case.tray))
    assert report.findings is None
    assert report.looked.n_fruit == 0
    assert cells == {}


def test_the_quote_sheet_gets_the_trays_that_the_report_shows(database: Database) -> None:
    with database.writing() as session:
        case = worked.consignment(session)
        worked.looked_at(session, case)
        report = report_of(session, case)
        assert report.tray is not None
        cells = tray_cells(session, whole_of(session, case), report.tray)
        promised = promised_cells(session, whole_of(session, case), report.tray)
    assert report.findings is not None
    assert cells == {(cell.class_id, cell.count): cell.trays for cell in report.findings.cells}
    assert {key: each.value for key, each in promised.items()} == {key: each.value for key, each in cells.items()}
    assert all(each.one_sided for each in promised.values())


def test_limits_that_nobody_could_judge_are_named_with_their_fruit(database: Database) -> None:
    """Only sap stain was looked for: the limits on other kinds are not judged, unless the fruit broke them anyway."""
    with database.writing() as session:
        case = worked.consignment(session)
        sample_id = season.sample(session, case.consignment, tray_type_id=case.tray, looked_for="sap-stain")
        worked.draw_all(session, sample_id, case.bins[0], [(4000, ()), (4000, (Mark("sap-stain", 500),))])
        findings = findings_of(session, case)
    named = dict(findings.not_judged)
    assert named["rot"] == 2
    assert named["skin marks"] == 2
    assert "size" not in named


def test_the_tray_is_the_one_the_samples_name(database: Database) -> None:
    with database.writing() as session:
        case = worked.consignment(session)
        small = season.tray_type(session, 4000, (8, 10, 12))
        sample_id = season.sample(session, case.consignment, tray_type_id=small)
        worked.draw_all(session, sample_id, case.bins[0], worked.BIN_1)
        report = report_of(session, case)
    assert report.tray_choice is TrayChoice.SAMPLE
    assert report.tray is not None
    assert report.tray.net_g == 4000


def test_samples_that_name_different_trays_are_counted_for_the_market_s_first(database: Database) -> None:
    with database.writing() as session:
        case = worked.consignment(session)
        for tray_id in (case.tray, season.tray_type(session, 4000, (8, 10, 12))):
            worked.draw_all(
                session, season.sample(session, case.consignment, tray_type_id=tray_id), case.bins[0], worked.BIN_1
            )
        report = report_of(session, case)
    assert report.tray_choice is TrayChoice.SAMPLES_DIFFER
    assert report.tray is not None
    assert report.tray.net_g == 7000


def test_without_any_tray_fruit_of_a_class_are_packed_uncounted(database: Database) -> None:
    with database.writing() as session:
        case = worked.consignment(session)
        bare = season.market(session, season.spec_version(session), name="Osmere Export")
        other = season.consignment(session, case.block, bare, number="1043")
        sample_id = season.sample(session, other)
        worked.draw_all(session, sample_id, season.bins_of(session, other)[0], worked.BIN_1)
        report = report_of(session, case._replace(consignment=other, market=bare))
    assert report.tray is None
    assert report.tray_choice is TrayChoice.NONE
    assert report.findings is not None
    assert report.findings.cells == ()
    assert report.findings.packout.pack_out.value == Fraction(4, 5)


def test_the_spec_version_of_the_intake_judges_it_whatever_the_market_has_now(database: Database) -> None:
    with database.writing() as session:
        case = worked.consignment(session)
        worked.looked_at(session, case)
        before = findings_of(session, case)
        row = markets.market(session, case.market).market
        row.spec_version_id = season.spec_version(session, library.standards()["mango-agmark"])
        session.add(row)
        session.flush()
        report = report_of(session, case)
    assert report.findings == before
    assert report.spec.id == "mango-codex-cxs184"
