"""Grading a file from the command line."""

import csv
import json
import subprocess
import sys
from pathlib import Path

import pytest

from shedgrade.domain.spec import library
from shedgrade.domain.spec.text import write_spec
from shedgrade.exchange.grading import grade_file

FRUIT = "weight g,bin,sap stain cm2\n412,1,\n340,1,4.6\n90,2,\n"
SPEC = "mango-codex-cxs184"
TRAY = "7 kg: 12 14 16 18 20"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "fruit.csv"
    path.write_text(FRUIT, encoding="utf-8")
    return path


def test_as_a_table_with_totals(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert grade_file(file, SPEC, TRAY, "table") == 0
    out, err = capsys.readouterr()
    lines = out.splitlines()
    assert lines[0].split() == ["Line", "Draw", "Weight", "Class", "Size", "Count", "Why"]
    assert ("412\u202fg" in lines[1], " 18 " in lines[1], "Extra" in lines[1]) == (True, True, True)
    assert "sap stain" in lines[2]
    assert "Not " in lines[2]
    assert "No class" in lines[3]
    assert lines[5].startswith("3 fruit under ")
    assert "No class 1 (33.3\u202f%)" in lines[6]
    assert "not judged: " in lines[1]
    assert "unhealed wounds (unhealed wound)" in lines[1]
    assert lines[7].startswith("Not judged: ")
    assert lines[8:] == ["The tolerances and package limits of the spec are judged by: shedgrade lot"]
    assert err == ""


def test_a_spec_without_tolerances_and_package_limits_sends_nobody_to_the_lot(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spec = next(
        each
        for each in library.standards().values()
        if each.crop.id == "mango" and not each.tolerances and not any("spread" in limit.id for limit in each.limits)
    )
    assert grade_file(file, spec.id, None, "table") == 0
    assert "shedgrade lot" not in capsys.readouterr().out


def test_as_csv_a_row_a_fruit_and_the_totals_apart(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert grade_file(file, SPEC, TRAY, "csv") == 0
    out, err = capsys.readouterr()
    rows = list(csv.DictReader(out.splitlines()))
    assert [row["line"] for row in rows] == ["2", "3", "4"]
    assert (rows[0]["weight g"], rows[0]["size codes"], rows[0]["count"]) == ("412.0", "B", "18")
    assert "sap stain" in rows[1]["reasons"]
    assert rows[2]["class"] == "No class"
    assert err.startswith("3 fruit under ")


def test_as_json(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert grade_file(file, SPEC, None, "json") == 0
    whole = json.loads(capsys.readouterr().out)
    assert (whole["spec"]["id"], whole["tray"], whole["totals"]["fruit"]) == (SPEC, None, 3)
    assert [fruit["count"] for fruit in whole["fruit"]] == [None, None, None]
    assert sum(whole["totals"]["by_class"].values()) == 3
    assert whole["totals"]["not_judged"]
    first = whole["fruit"][0]
    assert (first["class_by_size_code"], first["severities"]) == ({"B": "Extra"}, {})
    assert any("sunburn" in limit for limit in first["not_judged"])


def test_a_spec_file_serves_as_well_as_a_name(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "own.toml"
    path.write_text(write_spec(library.standards()[SPEC]), encoding="utf-8")
    grade_file(file, SPEC, TRAY, "csv")
    by_name = capsys.readouterr().out
    assert grade_file(file, str(path), TRAY, "csv") == 0
    assert capsys.readouterr().out == by_name


def refusal(capsys: pytest.CaptureFixture[str], *asked: str | None) -> str:
    path, spec, tray, format_ = asked
    assert grade_file(Path(path or ""), spec or "", tray, format_ or "") == 2
    out, err = capsys.readouterr()
    assert out == ""
    return err


def test_an_unknown_spec_lists_those_there_are(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = refusal(capsys, str(file), "mango-codx", None, "table")
    assert '"mango-codx" is no spec' in said
    assert all(name in said for name in library.standards())


def test_a_spec_file_with_mistakes_says_where(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "own.toml"
    path.write_text(write_spec(library.standards()[SPEC]).replace('take = "sum"', 'take = "totl"', 1), "utf-8")
    said = refusal(capsys, str(file), str(path), None, "table")
    assert "Line " in said
    assert '"totl"' in said
    path.write_bytes(b'id = "\xe9"')
    assert "not written in UTF-8" in refusal(capsys, str(file), str(path), None, "table")


def test_mistakes_in_the_file_come_with_line_and_column(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.write_text("weight,rub\n412,1\nabc,lots\n", encoding="utf-8")
    said = refusal(capsys, str(file), SPEC, None, "table")
    assert "Line 3, weight: " in said
    assert "Line 3, rub: " in said


@pytest.mark.parametrize("tray", ["7 kg", "7 kg:", "heavy: 12", "7 kg: twelve", "7 kg: 12 12", "0: 12", "7 kg: 0"])
def test_a_tray_written_otherwise_is_refused(file: Path, tray: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert "accepted" in refusal(capsys, str(file), SPEC, tray, "table")


def test_a_missing_file_and_an_unknown_format_are_refused(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "cannot be read" in refusal(capsys, "no such.csv", SPEC, None, "table")
    assert "table, csv, json are accepted" in refusal(capsys, str(file), SPEC, None, "xml")


def test_the_command_needs_neither_web_nor_database(file: Path) -> None:
    program = (
        "import sys; from shedgrade.cli import app\n"
        "try: app()\n"
        "finally: print(sorted({'fastapi', 'sqlmodel', 'sqlalchemy'} & set(sys.modules)), file=sys.stderr)"
    )
    asked = [sys.executable, "-c", program, "grade", str(file), "--spec", SPEC, "--tray", TRAY]
    ran = subprocess.run(asked, capture_output=True, text=True, encoding="utf-8", check=False)
    assert (ran.returncode, ran.stderr.strip()) == (0, "[]")
    assert "3 fruit under" in ran.stdout
