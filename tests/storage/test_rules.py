"""The database itself refuses a bad row, whoever writes it: every rule of every table is tried once."""

from datetime import UTC, datetime
from typing import Any

import pytest
from sqlalchemy import CheckConstraint, text
from sqlalchemy.exc import IntegrityError

from shedgrade.storage.database import Database
from tests.support.good_rows import GOOD_ROWS, METADATA, put, put_all, put_all_before

LATE = datetime(2026, 3, 1, tzinfo=UTC)

EARLY = datetime(2026, 1, 1, tzinfo=UTC)
_OF_NO_TRAY = {"counts": None, "trays": None, "tray_type_id": None}
_WEIGHED_BIN = {"gross_g": 440_000, "tare_g": 40_000, "weighed_at": LATE, "weighed_by_id": 1}

# The rule, and what makes the table's good row break it.
BROKEN: dict[str, dict[str, Any]] = {
    "ck_bin_counts_from_one": {"number": 0},
    "ck_bin_type_named": {"name": ""},
    "ck_block_has_area": {"area_m2": 0},
    "ck_block_named": {"name": ""},
    "ck_change_known_deed": {"deed": "guessed"},
    "ck_consignment_grower_counted_some": {"grower_bins": 0},
    "ck_consignment_line_counts_from_one": {"line": 0},
    "ck_consignment_picked_before_received": {"picked_to": LATE},
    "ck_consignment_picked_forwards": {"picked_from": LATE},
    "ck_consignment_void_has_person": {"voided_at": LATE, "void_reason": "saved twice"},
    "ck_consignment_void_has_reason": {"voided_at": LATE, "voided_by_id": 1},
    "ck_docket_numbered": {"number": ""},
    "ck_draw_counts_from_one": {"number": 0},
    "ck_failed_tries_some_failures": {"failures": 0},
    "ck_fruit_counts_from_one": {"number": 0},
    "ck_fruit_defect_area_above_zero": {"area_mm2": 0},
    "ck_fruit_defect_length_above_zero": {"length_dmm": 0},
    "ck_fruit_defect_measured_one_way": {"share_bp": 500},
    "ck_fruit_defect_share_in_range": {"area_mm2": None, "share_bp": 10_001},
    "ck_fruit_defect_some_places": {"places": 0},
    "ck_fruit_has_weight": {"weight_dg": -50},
    "ck_fruit_measure_not_negative": {"value": -1},
    "ck_fruit_void_has_person": {"voided_at": LATE, "void_reason": "dropped"},
    "ck_fruit_void_has_reason": {"voided_at": LATE, "voided_by_id": 1},
    "ck_grower_named": {"name": ""},
    "ck_market_currency_code": {"currency": "AU$D"},
    "ck_market_named": {"name": ""},
    "ck_maturity_reading_counts_from_zero": {"place": -1},
    "ck_maturity_reading_not_negative": {"value": -1},
    "ck_maturity_test_some_fruit": {"fruit": 0},
    "ck_maturity_test_void_has_person": {"voided_at": LATE, "void_reason": "other load"},
    "ck_maturity_test_void_has_reason": {"voided_at": LATE, "voided_by_id": 1},
    "ck_person_named": {"name": ""},
    "ck_person_role_known_role": {"role": "wizard"},
    "ck_photo_at_most_three": {"place": 4},
    "ck_photo_holds_something": {"content": b""},
    "ck_photo_shows_something": {"kind": ""},
    "ck_photo_void_has_person": {"voided_at": LATE, "void_reason": "another load"},
    "ck_photo_void_has_reason": {"voided_at": LATE, "voided_by_id": 1},
    "ck_quick_look_fruit_counts_from_one": {"number": 0},
    "ck_quick_look_fruit_void_has_person": {"voided_at": LATE, "void_reason": "undone"},
    "ck_quick_look_fruit_void_has_reason": {"voided_at": LATE, "voided_by_id": 1},
    "ck_quick_look_has_weight": {"gross_g": 0, "tare_g": None},
    "ck_quick_look_some_fruit": {"fruit": 0},
    "ck_quick_look_tare_below_gross": {"tare_g": 17_200},
    "ck_quick_look_void_has_person": {"voided_at": LATE, "void_reason": "another load"},
    "ck_quick_look_void_has_reason": {"voided_at": LATE, "voided_by_id": 1},
    "ck_quote_currency_code": {"currency": "AU$D"},
    "ck_quote_hold_some_trays": {"trays": 0},
    "ck_quote_line_not_negative": {"price_minor": -1},
    "ck_quote_line_price_has_origin": {"price_known_as": "rumour"},
    "ck_quote_line_some_trays": {"trays": 0},
    "ck_quote_names_buyer": {"buyer": ""},
    "ck_quote_source_was_looked_at": {"n_draws": 0},
    "ck_quote_withdrawal_has_person": {"withdrawn_at": LATE},
    "ck_run_break_counts_from_one": {"stretch": 0},
    "ck_run_break_has_weight": {"from_dg": 0},
    "ck_run_break_some_fruit": {"count": 0},
    "ck_run_event_bins_are_counted": {"bins": 2},
    "ck_run_event_counts_from_one": {"number": 0},
    "ck_run_event_has_weight": {"net_g": 0},
    "ck_run_event_some_bins": {**_OF_NO_TRAY, "kind": "bins", "bins": 0},
    "ck_run_event_some_fruit": {"fruit": 0},
    "ck_run_event_some_trays": {"trays": 0},
    "ck_run_event_tare_below_gross": {"kind": "tray weighed", "trays": None, "gross_g": 500, "tare_g": 500},
    "ck_run_event_tray_has_class": {"class_id": ""},
    "ck_run_event_tray_has_counts": {"counts": None},
    "ck_run_event_trays_are_counted": {"trays": None},
    "ck_run_event_weighed_has_gross": {"gross_g": 7500},
    "ck_run_known_kind": {"kind": "picnic"},
    "ck_run_known_rule": {"rule": "by feeling"},
    "ck_run_left_has_weight": {"net_g": 0},
    "ck_run_left_known_thing": {"what": "a hat"},
    "ck_run_left_known_way": {"way": "carried in"},
    "ck_run_left_weighed_or_counted": {"net_g": None, "fruit": 4},
    "ck_run_load_not_negative": {"parts": -1},
    "ck_run_runs_forwards": {"finished_at": EARLY},
    "ck_run_tally_short_are_weighed": {"short": 1},
    "ck_run_tally_trays_not_negative": {"trays": -1},
    "ck_run_void_has_person": {"voided_at": LATE, "void_reason": "another load"},
    "ck_run_void_has_reason": {"voided_at": LATE, "voided_by_id": 1},
    "ck_shared_bin_goes_somewhere": {"outlet_id": ""},
    "ck_shared_bin_known_rule": {"rule": "parts"},
    "ck_shared_bin_tare_below_gross": {**_WEIGHED_BIN, "tare_g": 500_000},
    "ck_shared_bin_weight_has_person": {**_WEIGHED_BIN, "weighed_by_id": None},
    "ck_shared_bin_weight_has_tare": {**_WEIGHED_BIN, "tare_g": None},
    "ck_shared_bin_weight_has_time": {**_WEIGHED_BIN, "weighed_at": None},
    "ck_sample_file_hashed": {"file_sha256": "abc"},
    "ck_sample_known_origin": {"origin": "rumour"},
    "ck_sample_known_question": {"question": "how is it"},
    "ck_sample_void_has_person": {"voided_at": LATE, "void_reason": "wrong load"},
    "ck_sample_void_has_reason": {"voided_at": LATE, "voided_by_id": 1},
    "ck_pairing_code_one_bench": {"sign_in_id": None},
    "ck_scale_ending_person_with_time": {"ended_by_id": 1},
    "ck_scale_named": {"name": ""},
    "ck_scale_one_bench": {"tablet_id": None},
    "ck_scale_reading_counts_from_one": {"number": 0},
    "ck_scale_reading_has_weight": {"weight_dg": 0},
    "ck_scale_reading_only_waiting_is_done": {"waits": False, "done_at": LATE},
    "ck_setting_sourced": {"source": ""},
    "ck_spec_confirmation_says_where": {"read_in": ""},
    "ck_spec_confirmation_withdrawal_has_person": {"withdrawn_at": LATE, "withdraw_reason": "another edition"},
    "ck_spec_confirmation_withdrawal_has_reason": {"withdrawn_at": LATE, "withdrawn_by_id": 1},
    "ck_spec_draft_ends_one_way": {"put_aside_at": LATE, "published_as_id": 1},
    "ck_spec_draft_titled": {"title": ""},
    "ck_spec_draft_text_counts_from_one": {"version": 0, "text_of": 0},
    "ck_spec_draft_text_goes_back": {"text_of": 2},
    "ck_spec_retirement_reasoned": {"reason": ""},
    "ck_spec_retirement_return_has_person": {"put_back_at": LATE},
    "ck_spec_version_counts_from_one": {"version": 0},
    "ck_spec_version_hashed": {"sha256": "abc"},
    "ck_tablet_ending_has_person": {"ended_at": LATE},
    "ck_tablet_named": {"name": ""},
    "ck_tare_dry_or_wet": {"state": "damp"},
    "ck_tare_has_weight": {"total_g": 0},
    "ck_tare_some_empties": {"empties": 0},
    "ck_tray_count_some_fruit": {"count": 0},
    "ck_tray_price_not_negative": {"price_minor": -1},
    "ck_tray_type_has_weight": {"net_g": 0},
    "ck_tray_type_heaviest_has_weight": {"heaviest_dg": 0},
    "ck_tray_type_named": {"name": ""},
    "ck_weighing_has_weight": {"gross_g": 0},
}
# A second row beside the good one that differs in all but what may not come twice.
TWICE: dict[str, dict[str, Any]] = {
    "bin": {"id": 2},
    "bin_type": {"id": 2},
    "block": {"id": 2},
    "consignment": {"id": 2},
    "docket": {"id": 2},
    "draw": {"id": 2},
    "fruit": {"id": 2, "entry_key": "e2"},
    "grower": {"id": 2},
    "market": {"id": 2},
    "person": {"id": 2},
    "photo": {"id": 2},
    "quick_look_fruit": {"id": 2},
    "quote": {"id": 2},
    "quote_line": {"id": 2},
    "run_event": {"id": 2},
    "scale": {"id": 2},
    "scale_reading": {"id": 2},
    "sign_in": {"id": 2},
    "spec_confirmation": {"id": 2},
    "spec_retirement": {"id": 2},
    "tablet": {"id": 2},
    "tray_type": {"id": 2},
    "weighing": {"id": 2},
}


def checks() -> dict[str, str]:
    """The name of every CHECK, with its table's."""
    return {
        str(rule.name): table.name
        for table in METADATA.sorted_tables
        for rule in table.constraints
        if isinstance(rule, CheckConstraint)
    }


def pointed_at() -> list[str]:
    """The tables whose rows others hold in place."""
    keys = (key for table in METADATA.sorted_tables for key in table.foreign_keys)
    # A published spec is held by a stronger rule, tried beside the migrations.
    return sorted({key.column.table.name for key in keys if key.ondelete == "RESTRICT"} - {"spec_version"})


def test_every_table_has_its_good_row_and_every_check_its_broken_one() -> None:
    assert set(GOOD_ROWS) == set(METADATA.tables)
    assert set(BROKEN) == set(checks())


def test_good_rows_go_in(database: Database) -> None:
    with database.writing() as session:
        put_all(session)
        session.commit()
    with database.reading() as session:
        for table in METADATA.sorted_tables:
            assert len(session.execute(table.select()).all()) == 1, table.name


@pytest.mark.parametrize("rule", BROKEN)
def test_refuses_a_row_that_breaks(database: Database, rule: str) -> None:
    table = checks()[rule]
    with database.writing() as session:
        put_all_before(session, table)
        with pytest.raises(IntegrityError, match=rf"\b{rule}\b"):
            put(session, table, **BROKEN[rule])


@pytest.mark.parametrize("table", TWICE)
def test_refuses_the_same_number_or_name_twice(database: Database, table: str) -> None:
    with database.writing() as session:
        put_all(session)
        with pytest.raises(IntegrityError, match=r"UNIQUE constraint failed|violates unique constraint"):
            put(session, table, **TWICE[table])


def test_refuses_the_same_entry_twice(database: Database) -> None:
    with database.writing() as session:
        put_all(session)
        with pytest.raises(IntegrityError, match="entry_key"):
            put(session, "fruit", id=2, number=2)


def test_a_file_is_read_once_for_a_consignment_while_its_sample_stands(database: Database) -> None:
    void = {"voided_at": LATE, "voided_by_id": 1, "void_reason": "wrong tray"}
    with database.writing() as session:
        put_all(session)  # the good sample is from no file, and so is this one
        put(session, "sample", id=2)
        put(session, "sample", id=3, file_sha256="a" * 64, **void)
        put(session, "sample", id=4, file_sha256="a" * 64)
        with pytest.raises(IntegrityError, match=r"UNIQUE constraint failed|violates unique constraint"):
            put(session, "sample", id=5, file_sha256="a" * 64)


def test_refuses_two_draws_at_the_same_turn(database: Database) -> None:
    with database.writing() as session:
        put_all(session)
        with pytest.raises(IntegrityError, match="turn"):
            put(session, "draw", id=2, number=2)


@pytest.mark.parametrize("table", pointed_at())
def test_refuses_to_delete_what_others_point_at(database: Database, table: str) -> None:
    with database.writing() as session:
        put_all(session)
        with pytest.raises(IntegrityError, match=r"(?i)foreign key"):
            session.execute(text(f"DELETE FROM {table}"))


def test_refuses_to_point_at_nothing(database: Database) -> None:
    with database.writing() as session:
        put_all_before(session, "fruit")
        with pytest.raises(IntegrityError, match=r"(?i)foreign key"):
            put(session, "fruit", draw_id=99)
