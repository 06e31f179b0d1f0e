"""The bench is made for wet gloves: keys large enough, far enough from each other and from the edge, all within reach.

A 10.1-inch tablet of 1280 by 800 px has 5.88 px a millimetre: number and defect keys take 20 mm, 4 mm apart and 8 mm
off the edge; anything else that is tapped takes 12 mm.
"""

import re
from collections.abc import Iterator
from itertools import combinations

import pytest
from playwright.sync_api import Browser, Page, ViewportSize, expect

from shedgrade.demo.season import spec_named
from shedgrade.settings import Settings
from shedgrade.web.app import create_app
from tests.support.bench import bench
from tests.support.bench_page import measure
from tests.support.browsing import sign_in
from tests.support.serving import serve
from tests.support.templates import SqliteTemplate
from tests.support.touching import APART, EDGE, KEY, OTHER, ROUNDING, touched

STAGE = "more yellow than green"


@pytest.fixture(scope="module", params=[(1280, 800), (800, 1280)], ids=["1280x800", "800x1280"])
def size(request: pytest.FixtureRequest) -> ViewportSize:
    width, height = request.param
    return ViewportSize(width=width, height=height)


@pytest.fixture(
    scope="module",
    params=[("kestrow-mango", "440", STAGE), ("avocado-trade-4kg", "240", ""), ("mango-agmark", "412", "")],
)
def at_bench(
    request: pytest.FixtureRequest,
    browser: Browser,
    size: ViewportSize,
    sqlite_template: SqliteTemplate,
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Page]:
    """The bench with a fruit just saved, for crops with colour stages and without, and for a spec of three classes."""
    spec, weight, stage = request.param
    with sqlite_template.copy(tmp_path_factory.mktemp("bench")) as database:
        ids = bench(database, spec_named(spec))
        with serve(create_app(Settings(database=database.url), database)) as site, browser.new_context() as context:
            page = context.new_page()
            page.set_viewport_size(size)
            sign_in(context, site, database, ids.grader)
            page.goto(f"{site}/samples/{ids.sample}")
            measure(page, 1, weight, stage, wind_rub="4.6")
            yield page


def test_pad_and_defect_keys_take_a_glove(at_bench: Page) -> None:
    keys = [each for each in touched(at_bench) if each.kind in {"pad", "defect"}]
    assert len(keys) >= 12 + 9
    assert [each for each in keys if min(each.width, each.height) < KEY - ROUNDING] == []


def test_everything_else_takes_a_thumb(at_bench: Page) -> None:
    assert [each for each in touched(at_bench) if min(each.width, each.height) < OTHER - ROUNDING] == []


def test_keys_stand_apart_and_off_the_edge(at_bench: Page, size: ViewportSize) -> None:
    keys = [each for each in touched(at_bench) if each.kind != "other"]
    assert [each for each in keys if each.left < EDGE - ROUNDING or each.right > size["width"] - EDGE + ROUNDING] == []
    pairs = combinations([each for each in keys if each.kind != "stage"], 2)
    close = [(one.name, two.name) for one, two in pairs if one.gap(two) < APART - ROUNDING]
    assert close == []


def test_nothing_that_is_touched_lies_along_the_edge(at_bench: Page, size: ViewportSize) -> None:
    """What stands further down the page is brought up before it is touched, so of it only the sides count."""
    everything = touched(at_bench)
    assert [each for each in everything if each.left < EDGE - ROUNDING or each.top < EDGE - ROUNDING] == []
    assert [each for each in everything if each.right > size["width"] - EDGE + ROUNDING] == []
    low = size["height"] - EDGE + ROUNDING
    assert [each for each in everything if each.top < low < each.bottom] == []


def test_nothing_is_tiny_dragged_or_unfolded_from_a_list(at_bench: Page) -> None:
    assert at_bench.locator("#bench select, #bench input[type=range], #bench [draggable=true]").count() == 0


def test_a_fruit_needs_no_scrolling(at_bench: Page, size: ViewportSize) -> None:
    usual = [each for each in touched(at_bench) if each.kind in {"pad", "stage"}]
    usual += [each for each in touched(at_bench) if each.kind == "defect"][:9]
    low = size["height"] - EDGE + ROUNDING
    assert [each for each in usual if each.bottom > low] == []
    for button in ("Judge this fruit", "Next bin", "Undo"):
        expect(at_bench.get_by_role("button", name=button)).to_be_in_viewport(ratio=1)
    expect(at_bench.get_by_label("Weight", exact=True)).to_be_in_viewport(ratio=1)
    expect(at_bench.get_by_text("1 of 50", exact=True)).to_be_in_viewport(ratio=1)
    expect(at_bench.get_by_role("region", name="Tally")).to_be_in_viewport(ratio=1)


def test_class_and_reason_are_on_the_screen(at_bench: Page) -> None:
    last = at_bench.get_by_role("region", name="Last fruit")
    expect(last.get_by_text("wind rub 4.6 cm²").first).to_be_in_viewport(ratio=1)
    expect(last.get_by_text(" is over ")).to_be_in_viewport(ratio=1)


def test_whose_fruit_it_is_and_from_which_bin_is_always_in_sight(at_bench: Page) -> None:
    expect(at_bench.locator(".bench-where")).to_have_text(re.compile(r"1042-1, Ridge 3\s+Tallow Creek 1042"))
    expect(at_bench.locator(".bench-where")).to_be_in_viewport(ratio=1)
    expect(at_bench.get_by_text("Next: fruit 2, bin 1 of the receipt")).to_be_in_viewport(ratio=1)


def test_keys_stay_where_they_are(at_bench: Page) -> None:
    """Whatever is said of the fruit, and however far down its defect stands: a hand finds the key where it was."""
    before = [each for each in touched(at_bench) if each.kind != "other"]
    stage = STAGE if any(each.kind == "stage" for each in before) else ""
    measure(at_bench, 2, "300", stage, wind_rub="9", sunburn="7")
    assert [each for each in touched(at_bench) if each.kind != "other"] == before
    assert at_bench.evaluate("scrollY") == 0
