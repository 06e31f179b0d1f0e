"""What the fruit of a file share, said on the command line; and a crop that does not come with the program."""

import json
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from typer.testing import CliRunner

from shedgrade.cli import app
from shedgrade.domain.bound import Unit
from shedgrade.domain.grading.facts import NOTHING_SAID, Load, MaturityFigure
from shedgrade.domain.spec import library
from shedgrade.exchange.grading import grade_file
from shedgrade.exchange.load_options import LoadMistakes, LoadSaid, load_words, read_load
from tests.support.whole_spec import EVERYTHING, QUELL_CROP, QUELL_SPEC

THIN = "\N{NARROW NO-BREAK SPACE}"
ALL = LoadSaid(
    *("early quell", "2026-01-03", "Packing", "overseas", "river  flats", "layers"),
    taken=("brix=6.3", "Dry Matter = 15 %"),
    taken_of=10,
)


def test_every_option_becomes_a_fact() -> None:
    load = read_load(ALL, EVERYTHING)
    assert load == Load(
        *("Early Quell", date(2026, 1, 3), "packing", "overseas", "river flats", "layers"),
        tests=(
            MaturityFigure("brix", Fraction(63, 10) * Unit.BRIX.base, 10),
            MaturityFigure("dry-matter", Fraction(15, 100), 10),
        ),
    )
    assert load_words(load, EVERYTHING)[-1] == f"dry matter 15{THIN}% (mean of 10 fruit)"


def test_nothing_typed_is_nothing_said() -> None:
    assert read_load(LoadSaid(), EVERYTHING) == NOTHING_SAID
    assert load_words(NOTHING_SAID, EVERYTHING) == []


def test_a_mean_is_not_rounded_up_to_what_is_asked() -> None:
    load = read_load(LoadSaid(taken=("brix=6.4951",), taken_of=3), EVERYTHING)
    assert load.tests[0].mean == Fraction("649.51")
    assert load_words(load, EVERYTHING) == [f"sugar 6.4951{THIN}Brix (mean of 3 fruit)"]


def test_another_word_and_another_variety_are_taken_as_typed() -> None:
    load = read_load(LoadSaid(variety="Late Quell", destination="the moon"), EVERYTHING)
    assert (load.variety, load.destination) == ("Late Quell", "the moon")


@pytest.mark.parametrize(
    ("said", "found", "accepted"),
    [
        (LoadSaid(day="3 January"), '"3 January"', "2026-01-12"),
        (LoadSaid(stage="pakcing"), '"pakcing"', 'did you mean "packing"'),
        (LoadSaid(destination=" "), '" "', "a word is accepted"),
        (LoadSaid(taken=("brix=6",)), "of how many fruit", "--taken-of 10"),
        (LoadSaid(taken=("brix=6",), taken_of=0), "of how many fruit", "--taken-of 10"),
        (LoadSaid(taken=("bricks=6",), taken_of=3), "bricks=6", "brix=figure, acid=figure"),
        (LoadSaid(taken=("brix",), taken_of=3), '"brix"', "brix=figure"),
        (LoadSaid(taken=("brix=6", "sugar=7"), taken_of=3), "sugar=7", "each once"),
        (LoadSaid(taken=("width=40",), taken_of=3), "width=40", "firmness=figure"),
        (LoadSaid(taken=("brix=600",), taken_of=3), '"600"', f"at most 30{THIN}Brix"),
        (LoadSaid(taken=("brix=sweet",), taken_of=3), '--taken "brix=sweet": "sweet"', "accepted"),
        (LoadSaid(variety="Erly Quell"), '"Erly Quell" is no variety', 'did you mean "Early Quell"?'),
    ],
)
def test_what_cannot_be_is_refused_with_what_is_accepted(said: LoadSaid, found: str, accepted: str) -> None:
    with pytest.raises(LoadMistakes) as caught:
        read_load(said, EVERYTHING)
    assert found in str(caught.value)
    assert accepted in str(caught.value)


def test_every_wrong_option_is_named() -> None:
    said = LoadSaid(variety="erly quell", stage="pakcing", taken=("bricks=6", "acid=lots", "sugr=7"), taken_of=3)
    with pytest.raises(LoadMistakes) as caught:
        read_load(said, EVERYTHING)
    lines = str(caught.value).splitlines()
    assert [line.partition("; ")[0].partition(": ")[0] for line in lines] == [
        '"erly quell" is no variety known here',
        '"pakcing" is no stage of this spec',
        '--taken "bricks=6" cannot be used',
        '--taken "acid=lots"',
        '--taken "sugr=7" cannot be used',
    ]


def test_what_looks_like_a_slip_is_taken_where_it_is_said_to_be_meant() -> None:
    near = LoadSaid(variety="Erly Quell", stage="pakcing")
    with pytest.raises(LoadMistakes, match="If it is meant as you typed it, say --as-typed too") as caught:
        read_load(near, EVERYTHING)
    assert str(caught.value).count("--as-typed") == 2
    load = read_load(replace(near, as_typed=True), EVERYTHING)
    assert (load.variety, load.stage) == ("Erly Quell", "pakcing")
    known = read_load(LoadSaid(variety="early quell", stage="Packing", as_typed=True), EVERYTHING)
    assert (known.variety, known.stage) == ("Early Quell", "packing")
    with pytest.raises(LoadMistakes, match="a word is accepted"):
        read_load(LoadSaid(stage=" ", as_typed=True), EVERYTHING)


def test_the_commands_know_the_option(folder: Path) -> None:
    (folder / "spec.toml").write_text(QUELL_SPEC.replace('basis = "weight"', 'basis = "number"'), encoding="utf-8")
    files = (str(folder / "fruit.csv"), "--spec", str(folder / "spec.toml"), "--crop", str(folder / "quell.toml"))
    near = (*files, "--variety", "Erly Quell")
    lot = ("lot", *near, "--class", "II", "--basis", "number")
    for command in (("grade", *near), lot):
        refused = CliRunner().invoke(app, command)
        assert (refused.exit_code, refused.stdout) == (2, "")
        assert 'did you mean "Early Quell"?' in refused.stderr
        meant = CliRunner().invoke(app, (*command, "--as-typed"))
        assert (meant.exit_code, meant.stderr) == (0, "")


def test_two_varieties_that_look_alike_are_two() -> None:
    mango = library.standards()["mango-codex-cxs184"]
    alike = replace(mango, crop=replace(mango.crop, varieties=("Keitt", "Palmer")))
    assert read_load(LoadSaid(variety="Kent"), alike).variety == "Kent"
    with pytest.raises(LoadMistakes, match='did you mean "Palmer"'):
        read_load(LoadSaid(variety="palmr"), alike)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "fruit.csv").write_text("weight g,scar cm2\n100,0\n70,0\n", encoding="utf-8")
    (tmp_path / "quell.toml").write_text(QUELL_CROP, encoding="utf-8")
    (tmp_path / "spec.toml").write_text(QUELL_SPEC, encoding="utf-8")
    return tmp_path


def graded(folder: Path, said: LoadSaid, capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    files = folder / "fruit.csv", str(folder / "spec.toml")
    assert grade_file(*files, None, "json", crop_file=folder / "quell.toml", said=said) == 0
    whole: dict[str, object] = json.loads(capsys.readouterr().out)
    return whole


def test_a_crop_of_ones_own_is_graded_by_what_is_said_of_the_load(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In layers a fruit of 70 g is under the 90 g of Class I; loose it need not be over 65 g only."""
    layers = graded(folder, LoadSaid(presentation="layers"), capsys)
    loose = graded(folder, LoadSaid(presentation="loose"), capsys)
    assert [fruit["class"] for fruit in layers["fruit"]] == ["I", "II"]  # type: ignore[attr-defined]
    assert [fruit["class"] for fruit in loose["fruit"]] == ["I", "I"]  # type: ignore[attr-defined]
    assert (layers["load"], loose["load"]) == (["layers"], ["loose"])


def test_the_mean_of_a_test_decides_for_every_fruit(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Under 6.5 Brix, 15 % dry matter and a ratio of 20 all ways of the maturity limit are broken."""
    unripe = LoadSaid(
        stage="packing", destination="home", day="2026-07-01", taken=("brix=6", "dry-matter=14", "acid=1"), taken_of=10
    )
    enough = LoadSaid(
        stage="packing", destination="home", day="2026-07-01", taken=("brix=6", "dry-matter=15", "acid=1"), taken_of=10
    )
    assert [fruit["class"] for fruit in graded(folder, unripe, capsys)["fruit"]] == [None, None]  # type: ignore[attr-defined]
    assert None not in [fruit["class"] for fruit in graded(folder, enough, capsys)["fruit"]]  # type: ignore[attr-defined]


def test_the_mistakes_of_crop_file_and_spec_file_are_both_said(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    crop, spec = folder / "quell.toml", folder / "spec.toml"
    crop.write_text(QUELL_CROP.replace('measure = "area"', 'measure = "aera"', 1), encoding="utf-8")
    assert grade_file(folder / "fruit.csv", str(spec), None, "table", crop_file=crop) == 2
    only = capsys.readouterr().err
    assert '"aera"' in only
    assert "is no spec yet" not in only
    spec.write_text(QUELL_SPEC.replace("[[class]]", "[[class]]\nnmae = 1", 1), encoding="utf-8")
    assert grade_file(folder / "fruit.csv", str(spec), None, "table", crop_file=crop) == 2
    both = capsys.readouterr().err
    assert "is no crop yet" in both
    assert "is no spec yet" in both
    assert "nmae" in both
    assert 'found "quell"' not in both


def test_a_size_code_is_held_against_the_figure_and_the_variety_of_the_load(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """38 mm is size A of Long Quell, which begins at 35 mm, and not of Early Quell, which begins at 40 mm."""
    file, spec, crop = folder / "fruit.csv", str(folder / "spec.toml"), folder / "quell.toml"
    file.write_text("weight,width mm,size code\n100,38,A\n", encoding="utf-8")
    assert grade_file(file, spec, None, "table", crop_file=crop, said=LoadSaid(variety="Early Quell")) == 2
    assert f'A fruit of 38{THIN}mm width is not size "A"; it has no size code' in capsys.readouterr().err
    assert grade_file(file, spec, None, "table", crop_file=crop, said=LoadSaid(variety="Long Quell")) == 0


@pytest.mark.parametrize(
    ("spec", "crop", "words"),
    [
        ("spec.toml", None, 'found "quell"'),
        ("spec.toml", "spec.toml", "is no crop yet"),
        ("spec.toml", "none.toml", "cannot be read"),
        ("mango-agmark", "quell.toml", "--crop is accepted beside a spec file"),
    ],
)
def test_a_crop_file_that_cannot_serve_is_refused(
    folder: Path, capsys: pytest.CaptureFixture[str], spec: str, crop: str | None, words: str
) -> None:
    name = str(folder / spec) if spec.endswith("toml") else spec
    crop_file = None if crop is None else folder / crop
    assert grade_file(folder / "fruit.csv", name, None, "table", crop_file=crop_file) == 2
    assert words in capsys.readouterr().err
