"""One fruit as it was typed: every field read, every mistake beside its field."""

from typing import Any

import pytest

from shedgrade.domain.crop import Measured
from shedgrade.domain.fruit_entry import FruitMistakes, FruitReader, Typed
from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.grading.one import grade
from shedgrade.domain.spec import library
from shedgrade.domain.spec.text import read_spec, write_spec
from tests.support.specs import MARKET

CODEX = library.standards()["mango-codex-cxs184"]
BY_COLOUR = read_spec(MARKET, library.crops())
AVOCADO = library.standards()["avocado-trade-4kg"]


def refused(typed: Typed, reader: FruitReader | None = None) -> dict[str, str]:
    with pytest.raises(FruitMistakes) as mistakes:
        (reader or FruitReader.at_the_bench(CODEX)).read(typed)
    return dict(mistakes.value.by_field)


def test_reads_a_fruit_with_several_defects() -> None:
    typed = Typed("0.412 kg", "3", "B", {"sap-stain": "2,5", "lenticels": "10 %", "rub": "0"}, ["rot"])
    defects = (Defect("sap-stain", area_mm2=250), Defect("lenticels", share_bp=1000), Defect("rot"))
    assert FruitReader.at_the_bench(CODEX).read(typed) == (Fruit(4120, 3, defects), "B")


def test_a_figure_alone_means_the_defect_is_there() -> None:
    fruit, _ = FruitReader.at_the_bench(CODEX).read(Typed("412", marks={"rub": "1"}))
    assert fruit.defects == (Defect("rub", area_mm2=100),)


@pytest.mark.parametrize("word", ["yes", "X", "1", "there"])
def test_words_for_there(word: str) -> None:
    fruit, _ = FruitReader.at_the_bench(CODEX).read(Typed("412", marks={"rot": word}))
    assert fruit.defects == (Defect("rot"),)


@pytest.mark.parametrize("word", ["", "no", "0", "-"])
def test_words_for_not_there(word: str) -> None:
    fruit, _ = FruitReader.at_the_bench(CODEX).read(Typed("412", marks={"rot": word}))
    assert fruit.defects == ()


@pytest.mark.parametrize("nothing", ["", "0", "0.0", "0 cm2", "00,0"])
def test_measured_as_nothing_is_not_there(nothing: str) -> None:
    fruit, _ = FruitReader.at_the_bench(CODEX).read(Typed("412", marks={"rub": nothing}))
    assert fruit.defects == ()


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        (Typed(""), "weight", "Nothing was typed"),
        (Typed("4.12"), "weight", "did you mean 412\u202fg?"),
        (Typed("412", "7"), "stage", "no stage of this colour scale"),
        (Typed("412", "green"), "stage", "not a number"),
        (Typed("412", size_code="A"), "size_code", 'not size "A"; size B is accepted'),
        (Typed("90", size_code="A"), "size_code", "it has no size code"),
        (Typed("412", marks={"moon": "1"}), "moon", 'no defect kind "moon"'),
        (Typed("412", ticked=["moon"]), "moon", 'no defect kind "moon"'),
        (Typed("412", ticked=["rub"]), "rub", "rub: type its area in cm², or touch it again to lift it."),
        (Typed("412", marks={"rub": "0 cm2"}, ticked=["rub"]), "rub", "type its area in cm²"),
        (Typed("412", ticked=["lenticels"]), "lenticels", "type its share of the surface in %"),
        (Typed("412", marks={"rub": "402"}), "rub", "more than the whole surface"),
        (Typed("412", marks={"rub": "-1"}), "rub", "no area to measure"),
        (Typed("412", marks={"lenticels": "101"}), "lenticels", "no share"),
        (Typed("412", marks={"rot": "2 cm2"}), "rot", "yes or no is accepted"),
        (Typed("412", marks={"sap-stain": "201", "rub": "202"}), "rub", "Together"),
        (Typed("412", marks={"sap-stain": "201", "lenticels": "51"}), "lenticels", "Together"),
    ],
)
def test_refuses_and_says_what_would_do(typed: Typed, field: str, says: str) -> None:
    found = refused(typed)
    assert list(found) == [field]
    assert says in found[field]


def test_all_mistakes_of_a_fruit_are_found_at_once() -> None:
    typed = Typed("abc", "9", marks={"rub": "lots", "moon": "1"})
    assert set(refused(typed)) == {"weight", "stage", "rub", "moon"}


def test_the_colour_is_needed_only_where_the_spec_limits_it() -> None:
    assert "choose a colour stage" in refused(Typed("412"), FruitReader.at_the_bench(BY_COLOUR))["stage"]
    assert FruitReader.at_the_bench(CODEX).read(Typed("412"))[0].stage is None


def test_a_crop_without_a_colour_scale_takes_no_stage() -> None:
    assert "no colour scale" in refused(Typed("250", "1"), FruitReader.at_the_bench(AVOCADO))["stage"]


@pytest.mark.parametrize(("typed", "meant"), [("4120", "412"), ("0.4125", "412.5"), ("4118.5", ""), ("", "")])
def test_a_refused_weight_knows_what_was_likely_meant(typed: str, meant: str) -> None:
    with pytest.raises(FruitMistakes) as mistakes:
        FruitReader.at_the_bench(CODEX).read(Typed(typed))
    assert mistakes.value.meant == meant


def at_the_bench(spec_id: str) -> FruitReader:
    return FruitReader.at_the_bench(library.standards()[spec_id])


def test_states_are_looked_at_where_the_spec_asks_for_them() -> None:
    typed = Typed("240", marks={"corkiness": "1.5"}, states={"corkiness": ["progressive"]})
    fruit, _ = at_the_bench("avocado-unece-ffv42").read(typed)
    assert fruit.defects == (Defect("corkiness", area_mm2=150, states=frozenset({"progressive"})),)
    fruit, _ = at_the_bench("avocado-unece-ffv42").read(Typed("240", marks={"corkiness": "1.5"}))
    assert fruit.defects[0].states == frozenset()
    fruit, _ = at_the_bench("avocado-trade-4kg").read(Typed("240", marks={"corkiness": "1.5"}))
    assert fruit.defects[0].states is None


def test_a_state_of_what_has_no_figure_asks_for_the_figure() -> None:
    typed = Typed("240", states={"corkiness": ["progressive"]})
    assert refused(typed, at_the_bench("avocado-unece-ffv42"))["corkiness"] == "corkiness: type its area in cm²."


@pytest.mark.parametrize(
    ("kind", "text", "held"),
    [
        ("rub", "1.5 + 0.5+2", [{"area_mm2": 150}, {"area_mm2": 50}, {"area_mm2": 200}]),
        ("rub", "150 + 50 mm2", [{"area_mm2": 150}, {"area_mm2": 50}]),
        ("rub", "150 mm2 + 1 cm2", [{"area_mm2": 150}, {"area_mm2": 100}]),
        ("rub", "+1.5", [{"area_mm2": 150}]),
        ("stalk", "10 + 5,5 + 3", [{"length_dmm": 100}, {"length_dmm": 55}, {"length_dmm": 30}]),
        ("stalk", "1 + 2 cm", [{"length_dmm": 100}, {"length_dmm": 200}]),
        ("pink-spot", "2 + 1", [{"places": 2}, {"places": 1}]),
    ],
)
def test_several_marks_of_a_kind_stand_in_one_field(kind: str, text: str, held: list[dict[str, Any]]) -> None:
    fruit, _ = at_the_bench("mango-codex-cxs184").read(Typed("412", marks={kind: text}))
    assert fruit.defects == tuple(Defect(kind, **each) for each in held)


def test_a_column_in_per_cent_holds_several_marks_too() -> None:
    reader = FruitReader(CODEX.crop, by_share=frozenset({"rub"}))
    fruit, _ = reader.read(Typed("412", marks={"rub": "2 + 3.5 %"}))
    assert [each.share_bp for each in fruit.defects] == [200, 350]


@pytest.mark.parametrize(
    ("kind", "text", "words"),
    [
        ("rub", "1 + lots", '"lots" is not a number'),
        ("rub", "1 +", "a plus with nothing beside it"),
        ("rub", "1 + + 2", "a plus with nothing beside it"),
        ("rub", "1 + 2 cm2 + 30 mm2", "a unit behind each is accepted"),
        ("rub", "1 + 0", '"0" is no area to measure'),
        ("rub", "250 + 250", "Together that is more than the whole surface"),
        ("rub", "+".join("1" * 51), "51 marks are too many"),
        ("stalk", "10 + 3.33", "3.3 or 3.4 is accepted"),
        ("pink-spot", "2 + 0", "is too small"),
    ],
)
def test_every_mark_of_a_field_is_checked(kind: str, text: str, words: str) -> None:
    assert words in refused(Typed("412", marks={kind: text}), at_the_bench("mango-codex-cxs184"))[kind]


def test_the_largest_of_several_marks_and_their_places_are_looked_at() -> None:
    """A sum of 5 cm² may hold where one mark of 5 cm² does not."""
    own = write_spec(library.standards()["mango-codex-cxs184"])
    limit = '[[limit]]\nid = "{}"\nname = "{}"\nof = "rub"\ntake = "{}"\n{}to = "{}"\n\n'
    added = limit.format("big", "one rub", "largest", 'by = "area"\n', "<= 3 cm2")
    added += limit.format("many", "rubs", "places", "", "<= 2")
    spec = read_spec(own.replace("[[limit]]", f"{added}[[limit]]", 1), library.crops())
    reader = FruitReader.at_the_bench(spec)

    def broken(text: str) -> set[str]:
        fruit, _ = reader.read(Typed("412", marks={"rub": text}))
        return {each.limit_id for each in grade(spec, fruit).reasons} & {"big", "many"}

    assert broken("2 + 2") == set()
    assert broken("3.1 + 0.9") == {"big"}
    assert broken("1 + 1 + 1") == {"many"}


def test_a_mark_by_length_and_one_by_places() -> None:
    lengths = {kind.id: kind.measure for crop in library.crops().values() for kind in crop.kinds}
    assert {Measured.LENGTH, Measured.PLACES} <= set(lengths.values())
    fruit, _ = at_the_bench("mango-codex-cxs184").read(Typed("412", marks={"stalk": "1.2 cm", "pink-spot": "5"}))
    assert {each.kind: (each.length_dmm, each.places) for each in fruit.defects} == {
        "stalk": (120, None),
        "pink-spot": (None, 5),
    }
    assert "a whole number" in refused(Typed("412", marks={"pink-spot": "2.5"}))["pink-spot"]


def test_what_else_is_taken_of_a_fruit() -> None:
    reader = at_the_bench("kiwifruit-eu")
    typed = Typed("95", measures={"min-diameter": "40", "max-diameter": ""})
    fruit, _ = reader.read(typed)
    assert fruit.measures == (("min-diameter", 400),)
    assert "is accepted" in refused(Typed("95", measures={"min-diameter": "4"}), reader)["min-diameter"]
    assert "no measure" in refused(Typed("95", measures={"brix": "9"}), reader)["brix"]
