"""A tablet reads what was typed at the bench as the server does: the same fruit, or the same words beside a field."""

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Page

from shedgrade.domain.fruit_entry import FruitReader, Typed
from shedgrade.domain.grading.facts import NOTHING_SAID, Load
from shedgrade.domain.grading.tablet.rules import rules_for_tablet
from shedgrade.domain.spec.library import standards
from shedgrade.domain.spec.model import Spec
from shedgrade.web.bench_view import MARK, SEEN, STATE, TAKEN
from tests.support.every_spec import SPECS
from tests.support.many_fruit import Maker
from tests.support.modules import ask, modules_served
from tests.support.tablet import read_json, typed_json
from tests.support.typed_texts import TypedMaker

EACH_SPEC = pytest.mark.parametrize("spec", SPECS.values(), ids=SPECS.keys())
MANGO = standards()["mango-codex-cxs184"]
READER = "grading/read-typed.js"


@pytest.fixture(scope="module")
def modules() -> Iterator[str]:
    with modules_served() as address:
        yield address


def read(page: Page, spec: Spec, load: Load, typed: list[Typed]) -> list[Any]:
    rules = rules_for_tablet(spec, "0" * 64, load)
    return ask(page, READER, "readTyped", [(rules, [typed_json(each) for each in typed])])


def assert_agree(page: Page, spec: Spec, number: int, seed: int) -> None:
    """Half of them of a load of which nothing is said. The server is asked about nothing that it would take."""
    maker, taken = TypedMaker(spec, seed), 0
    for load in (NOTHING_SAID, Maker(spec, seed).load()):
        typed = [maker.typed() for _ in range(number // 2)]
        expected = [read_json(FruitReader.at_the_bench(spec, load), each) for each in typed]
        for one, found, want in zip(typed, read(page, spec, load, typed), expected, strict=True):
            assert found == want or (found is None and "errors" in want), one
            taken += "fruit" in want
    assert number / 4 < taken < number * 3 / 4


@EACH_SPEC
def test_200_fruit_as_typed(page: Page, modules: str, spec: Spec) -> None:
    page.goto(modules)
    assert_agree(page, spec, 200, seed=1)


@pytest.mark.long
@EACH_SPEC
def test_10_000_fruit_as_typed(page: Page, modules: str, spec: Spec) -> None:
    page.goto(modules)
    for seed in range(2, 12):
        assert_agree(page, spec, 1000, seed)


def test_the_ways_of_writing_a_weight(page: Page, modules: str) -> None:
    page.goto(modules)
    ways = [
        "412",
        "412,5",
        " 412 g",
        "0,412 kg",
        "ST,GS,+  412.5g",
        "\x02+412G\x03",
        "14.5 oz",
        "412\u00a0g",
        "412\u3000g",
    ]
    found = read(page, MANGO, NOTHING_SAID, [Typed(way) for way in ways])
    weights = [4120, 4125, 4120, 4120, 4125, 4120, 4111, 4120, 4120]
    assert [each["fruit"]["weight_dg"] for each in found] == weights


def test_several_mistakes_at_once_and_marks_that_cover_too_much(page: Page, modules: str) -> None:
    page.goto(modules)
    typed = [
        Typed("abc", "9", marks={"rub": "lots", "moon": "1"}),
        Typed("412", marks={"sap-stain": "200", "rub": "195"}),
        Typed("412", marks={"sap-stain": "201", "rub": "202"}),
        Typed("412", marks={"sap-stain": "201", "lenticels": "51"}),
        Typed("412", marks={"sap-stain": "201", "lenticels": "51", "rot": "maybe"}),
        Typed("412", marks={"rub": "402"}),
        Typed("412", marks={"rub": "4020"}),
        Typed("", marks={"rub": "402"}),
        Typed("412", size_code="A"),
        Typed("90", size_code="A"),
    ]
    reader = FruitReader.at_the_bench(MANGO)
    assert read(page, MANGO, NOTHING_SAID, typed) == [read_json(reader, each) for each in typed]


def test_every_sign_there_is(page: Page, modules: str) -> None:
    """One sign behind a number and before a unit: what the server refuses is never taken."""
    page.goto(modules)
    signs = [chr(code) for code in (*range(1, 0xD800), *range(0xE000, 0x10000), *range(0x10000, 0x110000, 97))]
    typed = [Typed(f"412{sign}g") for sign in signs]
    reader = FruitReader.at_the_bench(MANGO)
    for one, found in zip(typed, read(page, MANGO, NOTHING_SAID, typed), strict=True):
        assert found is None or found == read_json(reader, one), one


def test_the_fields_of_the_form(page: Page, modules: str) -> None:
    page.goto(modules)
    sent = [["weight", "1"], ["weight", "412"], ["stage", "3"], ["size_code", "B"], [f"{MARK}rub", "2"], [SEEN, "rub"]]
    sent += [[SEEN, "rot"], [f"{TAKEN}brix", "9"], [STATE, "corkiness:into flesh"], [STATE, "corkiness:progressive"]]
    form = "async (sent) => (await import('/static/js/grading/form-fields.js')).typedOf(sent)"
    states = {"corkiness": ["into flesh", "progressive"]}
    typed = Typed("412", "3", "B", {"rub": "2"}, ["rub", "rot"], states, {"brix": "9"})
    assert page.evaluate(form, [*sent, ["draw", "4"], ["entry_key", "a"]]) == typed_json(typed)


def test_what_is_said_of_a_fruit_finds_its_field_in_the_form(page: Page, modules: str) -> None:
    page.goto(modules)
    rules = rules_for_tablet(standards()["kiwifruit-eu"], "0" * 64)
    names = ["weight", "stage", "size_code", "min-diameter", "skin-mark", "moon"]
    fields = ["weight", "stage", "size_code", f"{TAKEN}min-diameter", f"{MARK}skin-mark", f"{MARK}moon"]
    assert ask(page, "grading/form-fields.js", "fieldOf", [(rules, names)]) == fields
