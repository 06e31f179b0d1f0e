"""A tablet judges by the rules it was sent as the server does: every field of the verdict, and every word."""

from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Browser, Page

from shedgrade.domain.grading.facts import Fruit, Load
from shedgrade.domain.grading.tablet.rules import rules_for_tablet
from shedgrade.domain.spec.model import Spec
from tests.support import made_up, made_up_specs
from tests.support.every_spec import SPECS, in_loads
from tests.support.made_up import few, fruit, loads
from tests.support.many_fruit import TRAY
from tests.support.modules import ask, modules_served
from tests.support.tablet import fruit_json, verdict_json

EACH_SPEC = pytest.mark.parametrize("spec", SPECS.values(), ids=SPECS.keys())
HASH = "0" * 64


@pytest.fixture(scope="module")
def modules() -> Iterator[str]:
    with modules_served() as address:
        yield address


@pytest.fixture(scope="module")
def open_page(browser: Browser, modules: str) -> Iterator[Page]:
    """One page for all examples of a test."""
    page = browser.new_page()
    page.goto(modules)
    yield page
    page.close()


def assert_agree(page: Page, spec: Spec, number: int, seed: int) -> None:
    """So many fruit in loads, with and without a tray and codes on the label."""
    given, expected = [], []
    for some, load, tray, codes in in_loads(spec, number, seed):
        labels = codes or [None] * len(some)
        pairs = list(zip(some, labels, strict=True))
        given.append((rules_for_tablet(spec, HASH, load, tray), [fruit_json(*pair) for pair in pairs]))
        expected += [verdict_json(spec, fruit, tray, code, load) for fruit, code in pairs]
    found = ask(page, "grading/judge.js", "judge", given)
    for told, want in zip(found, expected, strict=True):
        assert told == want


@EACH_SPEC
def test_every_field_of_500_fruit(page: Page, modules: str, spec: Spec) -> None:
    page.goto(modules)
    assert_agree(page, spec, 500, seed=11)


@pytest.mark.long
@EACH_SPEC
def test_every_field_of_10_000_fruit(page: Page, modules: str, spec: Spec) -> None:
    page.goto(modules)
    for seed in range(12, 22):
        assert_agree(page, spec, 1000, seed)


@few
@given(made_up.specs() | made_up_specs.specs(), st.lists(fruit(), min_size=1, max_size=8), loads())
def test_made_up_specs(open_page: Page, spec: Spec, fruit: list[Fruit], load: Load) -> None:
    labels = [None, *made_up.CODES]
    pairs = [(each, labels[place % len(labels)]) for place, each in enumerate(fruit)]
    rules = rules_for_tablet(spec, HASH, load, TRAY)
    found = ask(open_page, "grading/judge.js", "judge", [(rules, [fruit_json(*pair) for pair in pairs])])
    assert found == [verdict_json(spec, each, TRAY, code, load) for each, code in pairs]
