"""A whole fruit by keyboard alone: Tab, space, arrows, digits, Enter; a scale that types works the same way."""

from playwright.sync_api import Page, expect

from shedgrade.demo.season import spec_named
from shedgrade.storage.bench import last_fruit
from shedgrade.storage.database import Database
from tests.support.bench import bench
from tests.support.browsing import sign_in

_FOCUSED = """() => {
  const at = document.activeElement;
  const name = at.getAttribute('aria-label') || at.labels?.[0]?.innerText || at.innerText || '';
  return name.trim().replace(/\\s+/g, ' ');
}"""


def tab_to(page: Page, name: str) -> None:
    """Press Tab until the thing of this name has the focus; fails when the page has been gone round."""
    for _ in range(120):
        if page.evaluate(_FOCUSED) == name:
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"Tab never comes to {name}")


def test_a_fruit_is_measured_judged_and_undone_by_keyboard(
    tablet_page: Page, site: str, sqlite_database: Database
) -> None:
    page, keys = tablet_page, tablet_page.keyboard
    ids = bench(sqlite_database, spec_named("kestrow-mango"))
    sign_in(page.context, site, sqlite_database, ids.grader)
    page.goto(f"{site}/consignments/{ids.consignment}")
    tab_to(page, "Start a sample")
    keys.press("Enter")
    expect(page.get_by_label("Weight", exact=True)).to_be_focused()
    keys.type("440")
    keys.press("Tab")  # past the number pad, which a keyboard does not need
    assert page.evaluate(_FOCUSED) == "1 green"
    for _ in range(3):
        keys.press("ArrowDown")
    tab_to(page, "rub seen")
    keys.press("Space")
    keys.press("Tab")
    keys.type("4.6")
    tab_to(page, "sunburn, in cm²")
    keys.type("1")
    keys.press("Shift+Tab")
    keys.press("Space")
    tab_to(page, "rot")
    keys.press("Space")
    keys.press("Enter")
    expect(page.get_by_text("Fruit 1 saved.")).to_be_visible()
    expect(page.get_by_label("Weight", exact=True)).to_be_focused()
    keys.type("390")
    keys.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("choose a colour stage")
    tab_to(page, "1 green")
    keys.press("Space")
    tab_to(page, "Clean Judge this fruit")
    keys.press("Enter")
    expect(page.get_by_text("Fruit 2 saved.")).to_be_visible()
    tab_to(page, "Undo")
    keys.press("Enter")
    expect(page.get_by_text("undone at the bench").first).to_be_visible()
    with sqlite_database.reading() as session:
        second, first = last_fruit(session, ids.sample + 1, 9)
    assert (first.fruit.weight_dg, first.fruit.stage, second.fruit.weight_dg, second.fruit.stage) == (4400, 4, 3900, 1)
    assert [(each.kind, each.area_mm2) for each in first.fruit.defects] == [("rub", 460), ("rot", None)]
    assert (first.voided, second.voided and second.voided.reason) == (None, "undone at the bench")
