"""A scale that types: told from a hand by its gaps, and its number goes into the weight from wherever the focus is."""

import time
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from shedgrade.storage.bench import last_fruit
from shedgrade.storage.database import Database
from shedgrade.web.static_files import static_address
from tests.support.bench import Bench
from tests.support.bench_page import figure_of, seen

MODULE = f"{static_address()}/js/bench/typed-by-scale.js"
WAITS_TO_PRESS_MS = 400  # twice as long as Space waits for what comes after it (PRESS_AFTER)
ASK = f"(keys) => import('{MODULE}').then((module) => module.typedByScale(keys))"


def keys(signs: str, *gaps: float, end: str = "Enter") -> list[dict[str, Any]]:
    """The keys and when they came: the gaps over and over."""
    at, found = 1000.0, []
    for place, sign in enumerate([*signs, end] if end else list(signs)):
        found.append({"key": sign, "at": at})
        at += gaps[place % len(gaps)]
    return found


# Measured: a keyboard-mode scale or scanner types with gaps of 11 to 20 ms, a hand with some 80 ms.
GAPS = [
    (keys("412.5", 11), "412.5"),
    (keys("412.5", 20), "412.5"),
    (keys("412,5", 11, 20), "412,5"),
    (keys("85", 15), "85"),
    (keys("  412.5 g", 12), "412.5 g"),
    (keys("ST,GS,+  0.412kg", 16), "ST,GS,+  0.412kg"),
    (keys("000412.5", 16), "000412.5"),
    (keys("412.5", 10, 10, 55, 10), "412.5"),  # the page was busy once
    (keys("412.5", 80), ""),
    (keys("412.5", 80, 30), ""),
    (keys("412.5", 40), ""),
    (keys("412.5", 10, 10, 61), ""),
    (keys("41", 15, 90), ""),  # a hand that rolled over two keys, then Enter
    (keys("4", 15), ""),
    (keys("", 15), ""),
    (keys("412.5", 15, end=""), ""),
    (keys("412.5", 15, end="Tab"), ""),
    (keys("rub", 15), ""),
    (keys("9312345678907", 12), ""),  # a scanned number
]


def test_the_gaps_tell_a_scale_from_a_hand(at_bench: Page) -> None:
    assert [(at_bench.evaluate(ASK, typed), typed) for typed, _ in GAPS] == [(text, typed) for typed, text in GAPS]


def weight(page: Page) -> Locator:
    return page.get_by_label("Weight", exact=True)


def scale_types(page: Page, text: str, *, quiet_ms: float = 450, gap_ms: float = 15) -> None:
    """The keys with the times that a scale gives them, however busy the machine is; ``quiet_ms`` after any other."""
    page.wait_for_timeout(quiet_ms)
    cdp, at = page.context.new_cdp_session(page), time.time()
    for key in (*text, "Enter"):
        sent = {"key": key, "timestamp": at}
        sign = {"text": "\r", "windowsVirtualKeyCode": 13} if key == "Enter" else {"text": key}
        cdp.send("Input.dispatchKeyEvent", {"type": "keyDown", **sent, **sign})
        cdp.send("Input.dispatchKeyEvent", {"type": "keyUp", **sent})
        at += gap_ms / 1000
    cdp.detach()


def test_from_a_defects_box_it_goes_into_the_weight(at_bench: Page) -> None:
    figure_of(at_bench, "rub").focus()
    scale_types(at_bench, "412.5")
    expect(weight(at_bench)).to_have_value("412.5")
    expect(figure_of(at_bench, "rub")).to_have_value("")
    expect(figure_of(at_bench, "rub")).to_be_focused()
    expect(seen(at_bench, "rub")).not_to_be_checked()


def test_a_number_whose_head_came_apart_is_not_put_in_without_it(at_bench: Page) -> None:
    figure_of(at_bench, "rub").focus()
    at_bench.keyboard.type("4")
    scale_types(at_bench, "12.5", quiet_ms=80)
    expect(figure_of(at_bench, "rub")).to_have_value("412.5")
    expect(weight(at_bench)).to_have_value("")


def test_what_stood_in_the_defects_box_stays(at_bench: Page) -> None:
    figure_of(at_bench, "rub").press_sequentially("4.6", delay=90)
    scale_types(at_bench, "412.5")
    expect(weight(at_bench)).to_have_value("412.5")
    expect(figure_of(at_bench, "rub")).to_have_value("4.6")
    expect(seen(at_bench, "rub")).to_be_checked()


@pytest.mark.parametrize("name", ["Judge this fruit", "Next bin"])
def test_it_presses_no_button(at_bench: Page, sqlite_database: Database, ids: Bench, name: str) -> None:
    at_bench.get_by_role("button", name=name).focus()
    scale_types(at_bench, "   412.5 g")
    expect(weight(at_bench)).to_have_value("412.5 g")
    at_bench.wait_for_timeout(WAITS_TO_PRESS_MS)
    expect(at_bench.get_by_role("alert")).to_have_count(0)
    with sqlite_database.reading() as session:
        assert last_fruit(session, ids.sample, 9) == []


def test_it_lifts_and_sets_no_key(at_bench: Page) -> None:
    rot = at_bench.get_by_role("checkbox", name="rot", exact=True)
    rot.focus()
    scale_types(at_bench, " 412.5")
    expect(weight(at_bench)).to_have_value("412.5")
    at_bench.wait_for_timeout(WAITS_TO_PRESS_MS)
    expect(rot).not_to_be_checked()


def test_with_nothing_in_focus_it_goes_into_the_weight(at_bench: Page) -> None:
    at_bench.evaluate("document.activeElement.blur()")
    scale_types(at_bench, "412.5")
    expect(weight(at_bench)).to_have_value("412.5")


def test_in_the_weight_enter_judges_as_it_always_did(at_bench: Page, sqlite_database: Database, ids: Bench) -> None:
    at_bench.get_by_role("group", name="Colour stage").get_by_text("more yellow than green", exact=True).click()
    weight(at_bench).focus()
    scale_types(at_bench, "440")
    expect(at_bench.get_by_text("Fruit 1 saved.")).to_be_visible()
    with sqlite_database.reading() as session:
        assert [each.fruit.weight_dg for each in last_fruit(session, ids.sample, 9)] == [4400]


def test_a_second_number_for_the_same_bare_fruit_takes_the_place_of_the_first(at_bench: Page) -> None:
    at_bench.evaluate("document.activeElement.blur()")
    scale_types(at_bench, "405.0")
    scale_types(at_bench, "412.5")
    expect(weight(at_bench)).to_have_value("412.5")


def test_the_next_fruits_number_never_overwrites_the_one_that_is_open(at_bench: Page) -> None:
    at_bench.evaluate("document.activeElement.blur()")
    scale_types(at_bench, "412.5")
    figure_of(at_bench, "rub").press_sequentially("4.6", delay=90)
    scale_types(at_bench, "398.0")
    expect(weight(at_bench)).to_have_value("412.5")
    offered = at_bench.get_by_label("From the scale", exact=True)
    expect(offered).to_contain_text("The scale sent 398.0.")
    offered.get_by_role("button", name="Put it in").click()
    expect(weight(at_bench)).to_have_value("398.0")
    expect(offered).to_be_hidden()


def test_a_number_typed_by_hand_is_not_overwritten(at_bench: Page) -> None:
    weight(at_bench).press_sequentially("440", delay=90)
    at_bench.evaluate("document.activeElement.blur()")
    scale_types(at_bench, "398.0")
    expect(weight(at_bench)).to_have_value("440")
    at_bench.get_by_role("button", name="Leave it out").click()
    expect(at_bench.get_by_label("From the scale", exact=True)).to_be_hidden()
    expect(weight(at_bench)).to_have_value("440")


def test_a_hand_types_where_it_is(at_bench: Page) -> None:
    figure_of(at_bench, "rub").press_sequentially("4.6", delay=90)
    at_bench.keyboard.press("Enter")
    expect(figure_of(at_bench, "rub")).to_have_value("4.6")
    expect(at_bench.get_by_role("alert")).to_be_visible()  # no weight yet: Enter sent the form


def test_space_still_presses_what_has_the_focus(at_bench: Page) -> None:
    rot = at_bench.get_by_role("checkbox", name="rot", exact=True)
    rot.focus()
    at_bench.keyboard.press(" ")
    expect(rot).to_be_checked()
    at_bench.keyboard.press(" ")
    expect(rot).not_to_be_checked()


def test_somebody_else_can_take_the_reading(at_bench: Page) -> None:
    at_bench.evaluate(
        "document.addEventListener('scale:reading', (event) => "
        "{ event.preventDefault(); window.taken = event.detail; })"
    )
    at_bench.evaluate("document.activeElement.blur()")
    scale_types(at_bench, "412.5")
    assert at_bench.evaluate("window.taken") == {"text": "412.5", "from": "keyboard"}
    expect(weight(at_bench)).to_have_value("")
