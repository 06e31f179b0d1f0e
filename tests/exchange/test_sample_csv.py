"""A file of measured fruit: what is understood, and every mistake with its line and column."""

import pytest

from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.spec import library
from shedgrade.exchange import sample_csv
from shedgrade.exchange.sample_csv import FileMistakes, SampleFile, read_sample

MANGO = library.crops()["mango"]
CODEX = library.standards()["mango-codex-cxs184"]


def read(text: str) -> SampleFile:
    return read_sample(text.encode(), MANGO)


def mistakes(content: str | bytes) -> list[tuple[int, str, str]]:
    with pytest.raises(FileMistakes) as refused:
        read_sample(content.encode() if isinstance(content, str) else content, MANGO, CODEX)
    return [(mistake.line, mistake.column, mistake.sentence) for mistake in refused.value.mistakes]


def the_mistake(content: str | bytes) -> tuple[int, str, str]:
    (only,) = mistakes(content)
    return only


def test_reads_every_kind_of_column() -> None:
    file = read("weight g,Colour stage,bin,sap stain cm2,scattered rusty lenticels %,rot\n412,3,2,2.5,10,yes\n")
    (row,) = file.fruit
    defects = (Defect("sap-stain", area_mm2=250), Defect("lenticels", share_bp=1000), Defect("rot"))
    looked_for = frozenset({"sap-stain", "lenticels", "rot"})
    assert row.fruit == Fruit(4120, 3, defects, looked_for)
    assert (row.line, row.draw, file.looked_for, file.has_draws) == (2, "2", looked_for, True)


@pytest.mark.parametrize(
    "text",
    [
        "weight;sap stain\r\n412,5;2,5\r\n\r\n",
        "\ufeffweight\tsap-stain\n412.5\t2.5\n\n\n",
        'weight,"sap stain"\n"412,5","2,5"\n',
        "Weight kg;Sap_Stain mm2\n0,4125;250\n",
        "weight (g),sap stain [cm²]\r412.5 g,2.5 cm2\r",
        "fruit,sap stain,weight\n1,2.5,412.5\n",
    ],
)
def test_the_same_fruit_however_the_file_is_written(text: str) -> None:
    (row,) = read(text).fruit
    assert (row.fruit.weight_dg, row.fruit.defects) == (4125, (Defect("sap-stain", area_mm2=250),))


def test_a_single_column_takes_decimal_commas() -> None:
    assert [row.fruit.weight_dg for row in read("weight\n412,5\n400\n").fruit] == [4125, 4000]


def test_a_kind_without_a_column_was_not_looked_for() -> None:
    assert read("weight\n412\n").looked_for == frozenset()
    assert read("weight,rub,rot\n412,0,no\n").fruit[0].fruit == Fruit(4120, looked_for=frozenset({"rub", "rot"}))


def test_without_a_draw_column_all_fruit_are_one_draw() -> None:
    file = read("weight\n412\n380\n")
    assert (file.has_draws, file.draws) == (False, ("",))
    assert read("draw,weight\n b ,412\na,380\nb,390\n").draws == ("b", "a")


def test_a_column_of_the_other_measure_is_kept_as_measured() -> None:
    (row,) = read("weight,sap stain %\n412,3\n").fruit
    assert row.fruit.defects == (Defect("sap-stain", share_bp=300),)


@pytest.mark.parametrize(
    ("content", "line", "column", "says"),
    [
        ("", 1, "", "The file is empty"),
        ("\n\n", 1, "", "The file is empty"),
        ("weight\n\n", 1, "", "There is no fruit"),
        ("sap stain\n3\n", 1, "weight", "There is no weight column"),
        ("wieght\n412\n", 1, "wieght", 'did you mean "weight"?'),
        ("weight,sap stian\n412,1\n", 1, "sap stian", 'did you mean "sap stain"?'),
        ("weight,zzz\n412,1\n", 1, "zzz", "weight, colour stage, draw, bin, tray, size code, fruit, a defect"),
        ("weight,moon\n412,1\n", 1, "moon", "is not known"),
        ("weight,\n412,1\n", 1, "column 2", "has no heading"),
        ("weight,weight g\n412,412\n", 1, "weight g", 'the same as "weight"'),
        ("weight,sap stain,sap-stain\n412,1,1\n", 1, "sap-stain", 'the same as "sap stain"'),
        ("weight %\n412\n", 1, "weight %", "given in g, kg, lb or oz"),
        ("weight,rot cm2\n412,1\n", 1, "rot cm2", "there or not"),
        ("weight,stage g\n412,1\n", 1, "stage g", "has no unit"),
        ("weight\n412\nabc\n", 3, "weight", "is not a number"),
        ("weight\n-5\n", 2, "weight", "less than nothing"),
        ("weight\n0\n", 2, "weight", "lighter than any mango"),
        ("weight,rub\n,1\n", 2, "weight", "Nothing was typed"),
        ("weight\n99999\n", 2, "weight", "heavier than any mango"),
        ("weight\n1e9\n", 2, "weight", "not a plain number"),
        ("weight;rub\nUS,GS,+ 0.412kg;1\n", 2, "weight", "had not settled"),
        ("weight,sap stain\n412,900\n", 2, "sap stain", "more than the whole surface"),
        ("weight,sap stain\n412,lots\n", 2, "sap stain", "is not a number"),
        ("weight,sap stain,rub\n412,250,250\n", 2, "rub", "Together that is more than the whole surface"),
        ("weight,lenticels\n412,120\n", 2, "lenticels", "is no share"),
        ("weight,rot\n412,perhaps\n", 2, "rot", "yes or no is accepted"),
        ("weight,stage\n412,9\n", 2, "stage", "no stage of this colour scale"),
        ("weight,bin\n412,\n", 2, "bin", "say which draw"),
        ("weight,size code\n412,Q\n", 2, "size code", 'not size "Q"; size B is accepted'),
        ("weight,sap stain\n4,12,5\n", 2, "", "Decimal commas need semicolons"),
        ('weight,bin\n412,1\n413,"b\n414,2\n', 3, "", "A quote opened here"),
        ("weight\n412\n41\u00e9\n".encode("latin-1"), 3, "", "not written in UTF-8"),
        ("weight\n412\n".encode("utf-16"), 1, "", "UTF-16"),
        (b"PK\x03\x04 and so on", 1, "", "spreadsheet workbook"),
        (b"weight\n41\x002\n", 2, "", "not a text file"),
    ],
)
def test_a_mistake_has_its_line_its_column_and_what_would_do(
    content: str | bytes, line: int, column: str, says: str
) -> None:
    found = the_mistake(content)
    assert found[:2] == (line, column)
    assert says in found[2]


def test_all_mistakes_are_found_at_once() -> None:
    found = mistakes("weight,moon,rub\nabc,1,1\n412,1,x\n")
    assert [(line, column) for line, column, _ in found] == [(1, "moon"), (2, "weight"), (3, "rub")]


def test_many_mistakes_are_counted_and_the_first_are_listed() -> None:
    with pytest.raises(FileMistakes) as refused:
        read("weight\n" + "abc\n" * 120)
    assert (len(refused.value.mistakes), refused.value.more) == (50, 70)
    assert str(refused.value).endswith("and 70 more")


def test_rows_over_the_limit_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sample_csv, "MOST_ROWS", 3)
    assert len(read("weight\n" + "412\n" * 3).fruit) == 3
    assert "4 fruit stand in the file; at most 3" in the_mistake("weight\n" + "412\n" * 4)[2]


def test_a_quoted_line_break_does_not_lose_count_of_the_lines() -> None:
    assert the_mistake('weight,bin\n412,"a\nb"\nabc,c\n')[:2] == (4, "weight")


def test_a_hundred_thousand_rows_are_read() -> None:
    rows = "".join(f"{300 + n % 200}.{n % 10};{n // 50};{n % 5}\n" for n in range(100_000))
    file = read("weight;bin;rub\n" + rows)
    assert (len(file.fruit), len(file.draws)) == (100_000, 2_000)


AVOCADO, KIWIFRUIT = library.crops()["avocado"], library.crops()["kiwifruit"]


def test_states_lengths_places_and_measures_have_columns_of_their_own() -> None:
    text = "weight g,corkiness cm2,corkiness progressive,corkiness into flesh\n240,1.5,yes,\n250,2,,no\n"
    first, second = (row.fruit.defects[0] for row in read_sample(text.encode(), AVOCADO).fruit)
    assert (first.states, second.states) == (frozenset({"progressive"}), frozenset())
    (row,) = read_sample(b"weight g,min-diameter mm,max-diameter\n95,40,5.1 cm\n", KIWIFRUIT).fruit
    assert dict(row.fruit.measures) == {"min-diameter": 400, "max-diameter": 510}
    (row,) = read("weight g,stalk cm,pink spot\n412,1.2,5\n").fruit
    assert {each.kind: (each.length_dmm, each.places) for each in row.fruit.defects} == {
        "stalk": (120, None),
        "pink-spot": (None, 5),
    }


@pytest.mark.parametrize("heading", ["dry matter", "dry-matter %", "Dry Matter (%)"])
def test_a_test_of_the_load_is_no_column(heading: str) -> None:
    with pytest.raises(FileMistakes) as refused:
        read_sample(f"weight,{heading}\n240,22\n".encode(), library.crops()["avocado"])
    (mistake,) = refused.value.mistakes
    assert mistake.column == heading
    assert mistake.sentence.startswith(f'"{heading}" is a test of the load, not of each fruit;')
    assert '--taken "dry-matter=FIGURE"' in mistake.sentence


def test_several_marks_of_a_kind_stand_in_one_cell() -> None:
    file = read("weight,rub mm2,stalk,pink spot\n412,150 + 50 + 1 cm2,10 + 5.5,2+1\n")
    marks = [(each.kind, each.area_mm2, each.length_dmm, each.places) for each in file.fruit[0].fruit.defects]
    assert [mark for mark in marks if mark[0] == "rub"] == [("rub", area, None, None) for area in (150, 50, 100)]
    assert [mark for mark in marks if mark[0] == "stalk"] == [("stalk", None, 100, None), ("stalk", None, 55, None)]
    assert [mark for mark in marks if mark[0] == "pink-spot"] == [("pink-spot", None, None, each) for each in (2, 1)]
    assert len(marks) == 7
    assert the_mistake("weight,rub mm2\n412,150 + x\n")[:2] == (2, "rub mm2")


def test_without_its_columns_nobody_looked_at_a_state() -> None:
    (row,) = read_sample(b"weight g,corkiness cm2\n240,1.5\n", AVOCADO).fruit
    assert row.fruit.defects[0].states is None


@pytest.mark.parametrize(
    ("text", "line", "sentence"),
    [
        ("weight,corkiness,corkiness progressive\n240,1,yes\n", 1, "Its states go together"),
        (
            "weight,corkiness,corkiness progressive,corkiness into flesh\n240,1,maybe,\n",
            2,
            "yes or no is accepted",
        ),
        ("weight,corkiness mm\n240,1\n", 1, "measured by area"),
    ],
)
def test_a_wrong_state_or_unit_is_named(text: str, line: int, sentence: str) -> None:
    with pytest.raises(FileMistakes) as refused:
        read_sample(text.encode(), AVOCADO)
    (mistake,) = refused.value.mistakes
    assert mistake.line == line
    assert sentence in mistake.sentence
