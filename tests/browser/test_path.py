"""One load of mangoes, from the grower's name in the books to a quote in a buyer's hands."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, ViewportSize, expect

from shedgrade.actions.people import add_person
from shedgrade.domain.people import Role
from shedgrade.reports.net import net_of
from shedgrade.storage import bench, growers, intake, samples
from shedgrade.storage.database import Database
from shedgrade.storage.quote_sheets import QuoteWhole, quote_whole
from tests.support.bench_page import measure, next_bin
from tests.support.complaints import complaints_of
from tests.support.shed_for_sale import shed_for_sale
from tests.support.story import ANYBODY, Story

# Twenty fruit of 440 g out of four more bins; one of them has more wind rub than Class I may have.
FILE = "weight g,colour stage,bin,wind rub\n" + "".join(
    f"440,4,{number},{6 if (number, fruit) == (3, 0) else 0}\n" for number in range(3, 7) for fruit in range(5)
)


@pytest.fixture(params=[(1280, 800), (800, 1280)], ids=["1280x800", "800x1280"])
def tablet(request: pytest.FixtureRequest) -> ViewportSize:
    width, height = request.param
    return ViewportSize(width=width, height=height)


@pytest.fixture(params=[True, False], ids=["scripts", "no scripts"])
def story(
    request: pytest.FixtureRequest, browser: Browser, tablet: ViewportSize, site: str, sqlite_database: Database
) -> Iterator[Story]:
    """The shed before the load comes, on a tablet either way, with scripts or without."""
    with sqlite_database.writing() as session:
        shed = shed_for_sale(session)
        session.commit()
    with browser.new_context(viewport=tablet, java_script_enabled=request.param) as context:
        page = context.new_page()
        complaints = complaints_of(page)
        yield Story(page, site, sqlite_database, shed)
        assert complaints == []


def test_a_load_goes_from_the_block_to_the_buyer(story: Story) -> None:
    grower_id, block_id = a_grower_and_a_block(story)
    consignment_id = a_truck_is_received(story)
    wet_empties_correct_the_net(story, consignment_id)
    fruit_is_measured(story, consignment_id)
    a_file_is_read(story, consignment_id)
    pack_out_has_its_range(story, consignment_id)
    the_grower_sees_it(story, grower_id, block_id)
    first, second = a_quote(story, consignment_id), a_quote(story, consignment_id)
    assert (first.quote.number, second.quote.number) == (1, 2)
    assert second.lines[0].promised_trays < first.lines[0].promised_trays


def a_grower_and_a_block(story: Story) -> tuple[int, int]:
    story.as_person(story.shed.manager)
    story.open("/growers")
    story.follow("Add a grower")
    story.type_in(Name="Tallow Creek")
    story.press("Save")
    story.follow("Add a block of Tallow Creek")
    story.type_in(Name_of_the_block="Ridge 3", Variety="Calypso", Area="4.2")
    story.page.get_by_label("Fruit").select_option("Mango")
    story.press("Save")
    expect(story.page.get_by_role("link", name="Ridge 3")).to_be_visible()
    with story.database.reading() as session:
        (ours,) = [each for each in growers.blocks_for(session, ANYBODY) if each.grower.name == "Tallow Creek"]
        assert (ours.block.name, ours.block.variety, ours.block.area_m2) == ("Ridge 3", "Calypso", 42_000)
        return ours.grower.id or 0, ours.block.id or 0


def a_truck_is_received(story: Story) -> int:
    """A full bin of 400 kg, and six more weighed together, the last of them a part bin: 2 640 kg of fruit."""
    story.as_person(story.shed.supervisor)
    story.open("/consignments")
    story.follow("Receive a truck")
    day = story.page.get_by_label("Received").input_value()[:10]
    story.type_in(Docket_number="1042", Received=f"{day}T00:03", Picked_from=f"{day}T00:01", Picked_to=f"{day}T00:02")
    story.page.get_by_label("Block", exact=True).select_option(label="Tallow Creek, Ridge 3")
    story.page.get_by_label("Meant for").select_option(label="Kestrow Markets (mango)")
    weighed(story, 1, "1", "440")
    weighed(story, 2, "6", "2480")
    story.page.locator("#row-2").get_by_label("Part bin").check()
    story.press("Work out the net")
    story.reads("2 640 kg net Nothing is stored yet.")
    with story.database.reading() as session:
        assert intake.consignments_for(session, ANYBODY) == []
    story.press("Save")
    story.reads("2 640 kg of Calypso from Tallow Creek, Ridge 3, in 7 bins")
    consignment_id = story.here
    story.follow("Receipt")
    story.reads("2 640 kg net received from Tallow Creek")
    with story.database.reading() as session:
        whole = intake.consignment_for(session, ANYBODY, consignment_id)
        assert [each.part for each in whole.bins] == [False] * 6 + [True]
        assert net_of(whole).net_g == 2_640_000
    return consignment_id


def weighed(story: Story, row: int, bins: str, gross: str) -> None:
    group = story.page.locator(f"#row-{row}")
    group.get_by_label("Bins in it").fill(bins)
    group.get_by_label("Gross").fill(gross)
    if row == 1:
        group.get_by_label("Bin type").select_option(label="Half-ton plastic")


def wet_empties_correct_the_net(story: Story, consignment_id: int) -> None:
    """Five wet empties weigh 42 kg each instead of 40 kg: seven bins held 14 kg less fruit."""
    story.open(f"/consignments/{consignment_id}")
    story.follow("Weigh wet empties")
    story.type_in(How_many_empties="5", Their_weight_together="210")
    story.press("Work out the net")
    story.reads("2 626 kg net, corrected Nothing is stored yet.")
    story.press("Save")
    story.reads("Net as received 2 640 kg", "−14 kg", "Net now 2 626 kg")
    with story.database.reading() as session:
        assert net_of(intake.consignment_for(session, ANYBODY, consignment_id)).net_g == 2_626_000


def fruit_is_measured(story: Story, consignment_id: int) -> None:
    """Bin 1: a clean fruit, one with 4.6 cm² of wind rub where 4 cm² is allowed. Bin 2: one too small for the tray,
    and one that was a slip of the hand."""
    story.open(f"/consignments/{consignment_id}")
    story.press("Start a sample")
    story.reads("Put the first fruit on the scale.")
    sample_id = story.here
    next_bin(story.page, "bin 1")
    measure(story.page, 1, "440", "more yellow than green")
    story.reads("Class I 440 g, stage 4. Size medium, count 16")
    measure(story.page, 2, "440", "more yellow than green", wind_rub="4.6")
    story.reads("No class")
    story.reads("Not Class I wind rub 4.6 cm² is over 4 cm² for size medium")
    next_bin(story.page, "bin 2")
    measure(story.page, 3, "320", "more yellow than green")
    story.reads("too small for this tray")
    measure(story.page, 4, "500", "more yellow than green")
    story.press("Undo")
    expect(story.page.get_by_text("undone at the bench").first).to_be_visible()
    story.reads("Voided by Sela")
    with story.database.reading() as session:
        fruit = bench.last_fruit(session, sample_id, 9)
        assert [(each.draw_name, each.fruit.weight_dg) for each in reversed(fruit)] == [
            ("bin 1", 4400), ("bin 1", 4400), ("bin 2", 3200), ("bin 2", 5000)
        ]  # fmt: skip
        assert [each.voided.reason for each in fruit if each.voided] == ["undone at the bench"]


def a_file_is_read(story: Story, consignment_id: int) -> None:
    story.open(f"/consignments/{consignment_id}")
    story.follow("Read a file of measured fruit")
    content = {"name": "bins 3 to 6.csv", "mimeType": "text/csv", "buffer": FILE.encode()}
    story.page.get_by_label("The file").set_input_files(files=content)  # type: ignore[arg-type]
    story.press("Check and store")
    story.reads("20 fruit from 4 bins")
    with story.database.reading() as session:
        assert len(samples.drawn_fruit(session, consignment_ids=[consignment_id])) == 23


def pack_out_has_its_range(story: Story, consignment_id: int) -> None:
    """20 fruit of 440 g are packed out of 22 of 440 g and one of 320 g: 8 800 g of 10 000 g."""
    story.open(f"/consignments/{consignment_id}")
    story.follow("Pack-out")
    story.reads(re.compile(r"Ridge 3 would pack out 88\s%\s\(\d+\sto\s\d+\s%\)"), "23 fruit from 6 bins")


def the_grower_sees_it(story: Story, grower_id: int, block_id: int) -> None:
    with story.database.writing() as session:
        person_id = add_person(session, "Tal", frozenset([Role.GROWER]), grower_id)
        session.commit()
    story.as_person(person_id)
    story.open("/")
    story.follow("Ridge 3")
    assert story.here == block_id
    story.reads("20 of the 23 would go into trays.")
    story.open(f"/blocks/{story.shed.other_block}")
    story.reads("Not here")
    expect(story.page.get_by_text("Far corner")).to_have_count(0)


def a_quote(story: Story, consignment_id: int) -> QuoteWhole:
    """What can be promised is filled in; it is offered as it stands."""
    story.as_person(story.shed.marketer)
    story.open("/quotes/new")
    story.page.get_by_role("link", name="Kestrow Markets").click()
    story.page.get_by_role("checkbox", name="1042-1").check()
    story.press("See what they can give")
    offered = story.page.get_by_label("Trays to offer, Class I 16s").input_value()
    story.page.get_by_label("Trays to offer, Class I 16s").fill(str(max(int(offered or 0), 40)))
    story.type_in(Buyer="Harbour and Hill", Basis="Ex-shed")
    story.press("Save the quote")
    story.reads("to Harbour and Hill")
    with story.database.reading() as session:
        whole = quote_whole(session, story.here)
    story.reads(f"Quote {whole.quote.number} to Harbour and Hill")
    story.page.emulate_media(media="print")
    expect(story.page.get_by_text("For the shed only")).to_be_hidden()
    expect(story.page.get_by_text(f"Quote {whole.quote.number} to Harbour and Hill")).to_be_visible()
    story.page.emulate_media(media="screen")
    return whole
