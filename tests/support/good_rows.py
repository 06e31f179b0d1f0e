"""One good row of every table, hanging together: what each rule of the database is tried against."""

from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any

from sqlmodel import Session

from shedgrade.storage import tables

METADATA = tables.Grower.metadata
Row = Mapping[str, Any]

_PICKED = datetime(2026, 2, 3, 5, 30, tzinfo=UTC)
_PICKED_TO = datetime(2026, 2, 3, 9, 0, tzinfo=UTC)
_RECEIVED = datetime(2026, 2, 3, 11, 15, tzinfo=UTC)
_MEASURED = datetime(2026, 2, 3, 12, 0, tzinfo=UTC)
_DAY = date(2026, 2, 1)

GOOD_ROWS: dict[str, Row] = {
    "grower": {"id": 1, "name": "Tallow Creek"},
    "block": {
        "id": 1,
        "grower_id": 1,
        "name": "Ridge 3",
        "crop_id": "mango",
        "variety": "Kensington",
        "area_m2": 21_000,
    },
    "person": {"id": 1, "name": "Ada Thorne", "grower_id": 1},
    "person_role": {"person_id": 1, "role": "grader"},
    "change": {"id": 1, "at": _MEASURED, "person_id": 1, "noun": "grower", "row_id": 1, "deed": "added"},
    "setting": {
        "id": 1,
        "key": "keeping-years",
        "valid_from": _DAY,
        "value": "7",
        "source": "a buyer asks",
        "set_at": _MEASURED,
        "set_by_id": 1,
    },
    "tablet": {
        "id": 1,
        "name": "Bench tablet 1",
        "token_sha256": "t1",
        "registered_at": _MEASURED,
        "registered_by_id": 1,
    },
    "sign_in": {
        "id": 1,
        "token_sha256": "s1",
        "person_id": 1,
        "tablet_id": 1,
        "proved_at": _MEASURED,
        "seen_at": _MEASURED,
    },
    "pairing_code": {"code": "12345678", "sign_in_id": 1, "until": _MEASURED, "asked_by_id": 1},
    "scale": {
        "id": 1,
        "name": "Scale at bench 1",
        "token_sha256": "w1",
        "tablet_id": 1,
        "paired_at": _MEASURED,
        "paired_by_id": 1,
    },
    "scale_reading": {
        "id": 1,
        "scale_id": 1,
        "run": "r1",
        "number": 1,
        "weight_dg": 4120,
        "read_at": _MEASURED,
        "waits": True,
    },
    "failed_tries": {"of": "pin 1", "failures": 1, "last_at": _MEASURED},
    "posted_form": {"key": "k1", "person_id": 1, "answer": "/samples/1", "posted_at": _MEASURED},
    "spec_version": {
        "id": 1,
        "spec_key": "shed-mango",
        "version": 1,
        "title": "Mango of the shed",
        "crop_id": "mango",
        "content": "title = 'Mango of the shed'",
        "sha256": "a" * 64,
        "published_at": _RECEIVED,
    },
    "spec_draft": {
        "id": 1,
        "spec_key": "shed-mango",
        "title": "Mango of the shed",
        "crop_id": "mango",
        "based_on_id": 1,
        "started_at": _RECEIVED,
        "started_by_id": 1,
    },
    "spec_draft_text": {"draft_id": 1, "version": 1, "content": "title = 'Mango of the shed'", "text_of": 1},
    "spec_retirement": {
        "id": 1,
        "spec_version_id": 1,
        "reason": "replaced",
        "retired_at": _MEASURED,
        "retired_by_id": 1,
    },
    "spec_confirmation": {
        "id": 1,
        "spec_version_id": 1,
        "place": "size A",
        "value": ">= 200 g",
        "read_on": _DAY,
        "read_in": "the text itself, section 3",
        "confirmed_at": _MEASURED,
        "confirmed_by_id": 1,
    },
    "market": {"id": 1, "name": "City", "currency": "AUD", "spec_version_id": 1},
    "tray_type": {"id": 1, "name": "7 kg", "crop_id": "mango", "net_g": 7000, "heaviest_dg": 9000, "valid_from": _DAY},
    "tray_count": {"tray_type_id": 1, "count": 16},
    "market_tray": {"market_id": 1, "tray_type_id": 1, "place": 1},
    "price_list": {"id": 1, "market_id": 1, "spec_version_id": 1, "valid_from": _DAY},
    "tray_price": {"price_list_id": 1, "tray_type_id": 1, "class_id": "I", "count": 16, "price_minor": 2150},
    "outlet_price": {"price_list_id": 1, "outlet_id": "stock feed", "kg_minor": -4},
    "bin_type": {"id": 1, "name": "Half-ton plastic"},
    "tare": {
        "id": 1,
        "bin_type_id": 1,
        "weighed_on": _DAY,
        "state": "dry",
        "empties": 5,
        "total_g": 205_000,
        "weighed_by_id": 1,
    },
    "docket": {"id": 1, "number": "D-1", "received_at": _RECEIVED},
    "consignment": {
        "id": 1,
        "docket_id": 1,
        "line": 1,
        "block_id": 1,
        "market_id": 1,
        "spec_version_id": 1,
        "picked_from": _PICKED,
        "picked_to": _PICKED_TO,
        "received_at": _RECEIVED,
        "received_by_id": 1,
        "grower_bins": 12,
    },
    "weighing": {"id": 1, "consignment_id": 1, "line": 1, "gross_g": 455_000},
    "bin": {"id": 1, "consignment_id": 1, "weighing_id": 1, "number": 1, "bin_type_id": 1, "tare_id": 1},
    "empties_weighing": {"id": 1, "consignment_id": 1, "bin_type_id": 1, "tare_id": 1, "weighed_at": _MEASURED},
    "sample": {"id": 1, "consignment_id": 1, "question": "intake", "started_at": _MEASURED, "started_by_id": 1},
    "draw": {"id": 1, "sample_id": 1, "number": 1, "turn": 1, "bin_id": 1},
    "fruit": {
        "id": 1,
        "sample_id": 1,
        "draw_id": 1,
        "number": 1,
        "weight_dg": 4120,
        "entry_key": "e1",
        "measured_at": _MEASURED,
        "measured_by_id": 1,
    },
    "fruit_capture": {"fruit_id": 1, "tablet_id": 1, "captured_at": _MEASURED, "sent_by_id": 1},
    "fruit_defect": {"fruit_id": 1, "place": 1, "kind": "wind_rub", "area_mm2": 460},
    "fruit_measure": {"fruit_id": 1, "measure": "diameter", "value": 812},
    "maturity_test": {
        "id": 1,
        "consignment_id": 1,
        "taken_on": _DAY,
        "fruit": 10,
        "cut": True,
        "tested_at": _MEASURED,
        "tested_by_id": 1,
    },
    "maturity_reading": {"test_id": 1, "measure": "dry-matter", "place": 1, "value": 1520},
    "quick_look": {
        "id": 1,
        "consignment_id": 1,
        "fruit": 40,
        "gross_g": 17_200,
        "tare_g": 700,
        "looked_at": _MEASURED,
        "looked_by_id": 1,
    },
    "quick_look_fruit": {
        "id": 1,
        "quick_look_id": 1,
        "number": 1,
        "class_id": "II",
        "kind": "sap-stain",
        "tapped_at": _MEASURED,
        "tapped_by_id": 1,
    },
    "photo": {
        "id": 1,
        "consignment_id": 1,
        "kind": "sap-stain",
        "place": 1,
        "content": b"pixels",
        "width": 640,
        "height": 480,
        "taken_at": _MEASURED,
        "taken_by_id": 1,
    },
    "run": {"id": 1, "kind": "packing", "spec_version_id": 1, "started_at": _MEASURED, "started_by_id": 1},
    "run_load": {"run_id": 1, "consignment_id": 1, "place": 1},
    "run_tray": {"run_id": 1, "tray_type_id": 1, "place": 1},
    "run_break": {"run_id": 1, "stretch": 1, "tray_type_id": 1, "count": 16, "from_dg": 4380},
    "shared_bin": {"id": 1, "outlet_id": "juice", "opened_at": _MEASURED, "opened_by_id": 1},
    "run_event": {
        "id": 1,
        "run_id": 1,
        "number": 1,
        "kind": "trays",
        "at": _MEASURED,
        "by_id": 1,
        "stretch": 1,
        "class_id": "I",
        "tray_type_id": 1,
        "counts": "16",
        "trays": 4,
        "consignment_id": 1,
        "other_run_id": 1,
        "shared_bin_id": 1,
    },
    "run_left": {"event_id": 1, "place": 1, "what": "part tray", "way": "re-run", "net_g": 4300},
    "run_tally": {"run_id": 1, "stretch": 1, "class_id": "I", "tray_type_id": 1, "counts": "16", "trays": 4},
    "quote": {
        "id": 1,
        "number": 1,
        "market_id": 1,
        "spec_version_id": 1,
        "currency": "AUD",
        "buyer": "Harbour Fruit",
        "basis": "delivered",
        "valid_until": date(2026, 2, 6),
        "made_at": _MEASURED,
        "made_by_id": 1,
    },
    "quote_source": {"quote_id": 1, "consignment_id": 1, "n_fruit": 60, "n_draws": 6},
    "quote_line": {
        "id": 1,
        "quote_id": 1,
        "line": 1,
        "tray_type_id": 1,
        "class_id": "I",
        "count": 16,
        "trays": 114,
        "price_minor": 2150,
        "price_known_as": "list",
        "expected_trays": 275,
        "promised_trays": 114,
    },
    "quote_hold": {"quote_line_id": 1, "consignment_id": 1, "trays": 114},
}


def put(session: Session, name: str, /, **changes: Any) -> None:
    """Put the table's good row in, changed as said."""
    table = METADATA.tables[name]
    session.execute(table.insert().values({**GOOD_ROWS[name], **changes}))


def put_all_before(session: Session, name: str) -> None:
    """Put in the good row of every table that this one may point at."""
    for table in METADATA.sorted_tables:
        if table.name == name:
            return
        put(session, table.name)


def put_all(session: Session) -> None:
    """Put the good row of every table in."""
    for table in METADATA.sorted_tables:
        put(session, table.name)
