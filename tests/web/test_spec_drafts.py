"""Drafts of specs: begun, read, published, put aside; a file read into one."""

from datetime import UTC, datetime
from typing import NamedTuple

import pytest
from sqlmodel import select

from shedgrade.actions.spec_drafts import change_draft
from shedgrade.actions.specs import publish, publish_standards
from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.domain.spec.text import read_spec
from shedgrade.storage import spec_drafts
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as
from shedgrade.storage.tables import SpecDraft, SpecVersion
from tests.support.forms import filled
from tests.support.specs import MARKET
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words

NOW = datetime(2026, 1, 14, 3, 20, tzinfo=UTC)


class Book(NamedTuple):
    """The standards that come with the program and one spec of a market's own, by id; and who keeps them."""

    database: Database
    ids: dict[str, int]
    manager: Visitor


@pytest.fixture
def book(sqlite_database: Database) -> Book:
    with sqlite_database.writing() as session:
        ids = {key: row.id or 0 for key, row in publish_standards(session, NOW).items()}
        ids["market-kestrow"] = publish(session, read_spec(MARKET, library.crops()), NOW).id or 0
        session.commit()
    return Book(sqlite_database, ids, visitor(sqlite_database, Role.MANAGER))


def stored(book: Book) -> list[SpecDraft]:
    with book.database.reading() as session:
        return list(session.exec(select(SpecDraft)))


def copied(book: Book, title: str = "Mango, own pack") -> str:
    """A draft of Codex; gives its address."""
    address = f"/specs/{book.ids['mango-codex-cxs184']}"
    form = filled(parsed(book.manager.get(f"{address}/copy")), f"{address}/drafts", title=title)
    return str(book.manager.post(f"{address}/drafts", form).headers["location"])


def changed(book: Book, draft_id: int, text: str) -> None:
    """Put another spec in a draft's place, as its forms do."""
    with book.database.writing() as session:
        act_as(session, Actor(1, "a test's browser", NOW))
        found = spec_drafts.draft(session, draft_id)
        change_draft(session, found, read_spec(text, library.crops()), found.row.version)
        session.commit()


def press(book: Book, address: str, deed: str) -> int:
    page = parsed(book.manager.get(f"{address}/publishing" if deed == "publishing" else address))
    return book.manager.post(f"{address}/{deed}", filled(page, f"{address}/{deed}")).status_code


def test_a_fresh_manager_finds_the_way_from_specs_to_a_spec_of_their_own(book: Book) -> None:
    page = parsed(book.manager.get("/specs"))
    (way,) = [link["href"] for link in page.select("main a") if "Write a spec of your own" in link.get_text()]
    page = parsed(book.manager.get(str(way)))
    assert "Nobody judges fruit by a draft" in words(page)
    copy = f"/specs/{book.ids['mango-codex-cxs184']}/copy"
    assert one(page, f'main a[href="{copy}"]')
    address = copied(book)
    page = parsed(book.manager.get(address))
    assert words(page, "h1") == "Mango, own pack"
    assert "copied from Mango, Codex CXS 184, version 1" in words(page)
    page = parsed(book.manager.get(str(one(page, 'main a[href$="/publishing"]')["href"])))
    assert words(page, "h1") == "Publish Mango, own pack, version 1?"
    assert "can never change again" in words(page)
    assert "Held against Mango, Codex CXS 184, version 1, which it was copied from" in words(page)
    answer = book.manager.post(f"{address}/publishing", filled(page, f"{address}/publishing"))
    assert answer.status_code == 303
    page = parsed(book.manager.get(answer.headers["location"]))
    assert words(page, "h1") == "Mango, own pack"
    assert "never changed since" in words(page)


def test_a_copy_of_a_standard_is_a_spec_of_the_sheds_own(book: Book) -> None:
    address = f"/specs/{book.ids['mango-codex-cxs184']}"
    page = parsed(book.manager.get(f"{address}/copy"))
    assert not page.select("[name=becomes]")
    answer = book.manager.post(f"{address}/drafts", {"becomes": "next"})
    assert answer.status_code == 422
    assert error_at(parsed(answer), "title") == "Fill this in."
    copied(book)
    (draft,) = stored(book)
    assert (draft.spec_key, draft.title, draft.based_on_id) == (
        "mango-own-pack",
        "Mango, own pack",
        book.ids["mango-codex-cxs184"],
    )


def test_a_copy_asks_for_an_edition_of_its_own(book: Book) -> None:
    address = f"/specs/{book.ids['mango-codex-cxs184']}"
    page = parsed(book.manager.get(f"{address}/copy"))
    assert one(page, "[name=edition]")["value"] == "1"
    form = filled(page, f"{address}/drafts", title="Mango, own pack", edition="2026 " * 20)
    answer = book.manager.post(f"{address}/drafts", form)
    assert answer.status_code == 422
    assert "at most 40 fit" in error_at(parsed(answer), "edition")
    draft = book.manager.post(f"{address}/drafts", {**form, "edition": "season 2026"}).headers["location"]
    assert 'edition = "season 2026"' in book.manager.get(f"{draft}/file").text


def test_a_copy_of_an_own_spec_may_become_its_next_version(book: Book) -> None:
    address = f"/specs/{book.ids['market-kestrow']}"
    form = filled(parsed(book.manager.get(f"{address}/copy")), f"{address}/drafts")
    draft = book.manager.post(f"{address}/drafts", form).headers["location"]
    assert stored(book)[0].spec_key == "market-kestrow"
    page = parsed(book.manager.post(f"{draft}/publishing", {"version": "1"}))
    assert "Not a word differs from version 1" in words(page, ".notice")
    changed(book, 1, MARKET.replace('edition = "3"', 'edition = "4"', 1))
    page = parsed(book.manager.get(draft))
    assert "See what differs (1)" in words(page)
    page = parsed(book.manager.get(f"{draft}/publishing"))
    cells = [" ".join(cell.get_text(" ").split()) for cell in page.select("tbody tr > *")]
    assert cells[:3] == ["edition", "3", "4"]
    assert "Held against Mango, Kestrow Markets, version 1." in words(page)
    answer = book.manager.post(f"{draft}/publishing", filled(page, f"{draft}/publishing"))
    with book.database.reading() as session:
        row = session.get_one(
            SpecVersion, int(answer.headers["location"].removesuffix("?done=published").rpartition("/")[2])
        )
    assert (row.spec_key, row.version) == ("market-kestrow", 2)


def test_a_draft_from_nothing_is_a_whole_spec_at_once(book: Book) -> None:
    form = filled(parsed(book.manager.get("/specs/new")), "/drafts", title="Avocado, own", crop="avocado")
    address = book.manager.post("/drafts", form).headers["location"]
    text = words(parsed(book.manager.get(address)))
    assert "not copied from anything" in text
    assert "1 class: Class I. No size codes." in text
    assert press(book, address, "publishing") == 303


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"title": "Own"}, "crop"),
        ({"crop": "mango"}, "title"),
        ({"crop": "plum", "title": "x"}, "crop"),
        ({"crop": "mango", "title": "x" * 101}, "title"),
        ({"crop": "mango", "title": "\x07 bell"}, "title"),
    ],
)
def test_a_draft_from_nothing_wants_fruit_and_title(book: Book, typed: dict[str, str], field: str) -> None:
    answer = book.manager.post("/drafts", typed)
    assert answer.status_code == 422
    assert error_at(parsed(answer), field)
    assert stored(book) == []


def test_what_is_published_never_changes_again(book: Book) -> None:
    address = copied(book)
    assert press(book, address, "publishing") == 303
    answer = book.manager.post(f"{address}/publishing", {"version": "2"})
    assert answer.status_code == 422
    assert "what is published never changes" in words(parsed(answer))
    assert not parsed(book.manager.get(address)).select('main a[href$="/publishing"]')
    assert book.manager.get(f"{address}/publishing").status_code == 404


def content(book: Book) -> str:
    with book.database.reading() as session:
        return spec_drafts.draft(session, 1).content


def test_every_change_is_undone_and_had_again(book: Book) -> None:
    own = MARKET.replace("market-kestrow", "own")
    form = filled(
        parsed(book.manager.get("/specs/import")), "/specs/import", text=MARKET.replace("market-kestrow", "own")
    )
    address = book.manager.post("/specs/import", form).headers["location"]
    assert not parsed(book.manager.get(address)).select(f'form[action="{address}/undoing"]')
    texts = [content(book)]
    for text in (own.replace('"nil"', '"<= 1"'), own.replace('"nil"', '"<= 2"')):
        changed(book, 1, text)
        texts.append(content(book))
    assert "Last change, by shed manager, Wed 14 Jan 2026, 03:20: limit rot: " in words(
        parsed(book.manager.get(address)), ".undo"
    )
    for text in texts[-2::-1]:
        assert press(book, address, "undoing") == 303
        assert content(book) == text
        assert "Undone: limit " in words(parsed(book.manager.get(address)), ".notice")
    assert "Nothing is left to undo." in words(parsed(book.manager.get(address)))
    assert not parsed(book.manager.get(address)).select(f'form[action="{address}/undoing"]')
    for text in texts[1:]:
        assert press(book, address, "redoing") == 303
        assert content(book) == text
    assert not parsed(book.manager.get(address)).select(f'form[action="{address}/redoing"]')
    told = words(parsed(book.manager.get(f"{address}/history")))
    assert "undid a change of the draft" in told
    assert "had an undone change again in the draft" in told
    assert " from from " not in told


def test_a_draft_put_aside_is_taken_up_again(book: Book) -> None:
    address = copied(book)
    assert press(book, address, "putting-aside") == 303
    page = parsed(book.manager.get(address))
    assert "Put aside on" in words(page)
    assert "put aside" in words(parsed(book.manager.get("/specs")))
    answer = book.manager.post(f"{address}/publishing", {"version": "2"})
    assert (answer.status_code, "Take it up again" in words(parsed(answer))) == (422, True)
    assert press(book, address, "return") == 303
    assert press(book, address, "publishing") == 303


def test_a_file_is_checked_whole_and_its_text_stays_in_the_form(book: Book) -> None:
    wrong = MARKET.replace('take = "sum"', 'take = "summ"').replace('name = "Class two"', 'nam = "Class two"')
    upload = {"file": ("own.toml", wrong.encode(), "application/toml")}
    answer = book.manager.post("/specs/import", {}, files=upload)
    page = parsed(answer)
    assert answer.status_code == 422
    assert stored(book) == []
    rows = [" ".join(row.get_text(" ").split()) for row in page.select("#mistakes tbody tr")]
    line = next(number for number, each in enumerate(wrong.splitlines(), 1) if "summ" in each)
    assert any(row.startswith(f"{line} limit 3, take") and 'did you mean "sum"?' in row for row in rows), rows
    assert any('unknown key "nam"' in row for row in rows), rows
    assert typed_in(page, "text").strip() == wrong.strip()
    mended = filled(page, "/specs/import", text=MARKET.replace("market-kestrow", "own"))
    assert book.manager.post("/specs/import", mended).status_code == 303
    assert stored(book)[0].spec_key == "own"


def test_a_file_follows_the_spec_whose_id_it_has(book: Book) -> None:
    text = book.manager.get(f"/specs/{book.ids['market-kestrow']}/file").text.replace(
        'edition = "3"', 'edition = "4"', 1
    )
    book.manager.post("/specs/import", {"text": text})
    assert stored(book)[0].based_on_id == book.ids["market-kestrow"]


def test_a_file_may_not_take_the_id_of_a_standard_that_comes_with_the_program(book: Book) -> None:
    text = book.manager.get(f"/specs/{book.ids['mango-agmark']}/file").text
    answer = book.manager.post("/specs/import", {"text": text})
    assert answer.status_code == 422
    assert "comes with the program" in error_at(parsed(answer), "text")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('take = "sum"', 'take = "sum', "Most often it is a quotation mark, a bracket or an equals sign."),
        ('take = "sum"', 'take = "summ"', "This word is not known here; it may be a slip of the pen."),
        ('to = "<= ', 'to = "', "The figure does not say whether it is the most or the least."),
    ],
)
def test_beside_what_is_wrong_in_a_file_stands_a_plain_sentence(book: Book, old: str, new: str, said: str) -> None:
    assert old in MARKET
    answer = book.manager.post("/specs/import", {"text": MARKET.replace(old, new, 1)})
    assert answer.status_code == 422
    assert said in words(parsed(answer), "#mistakes tbody tr")


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"x" * 500_000])
def test_what_is_no_spec_file_is_refused_in_words(book: Book, content: bytes) -> None:
    answer = book.manager.post("/specs/import", {}, files={"file": ("a.toml", content, "text/plain")})
    assert answer.status_code == 422
    assert parsed(answer).select(".errors li")


def test_a_draft_is_read_by_the_shed_and_written_by_managers(book: Book) -> None:
    address = copied(book)
    grader = visitor(book.database, Role.GRADER)
    page = parsed(grader.get(address))
    assert "Skin marks" in words(page)
    assert not page.select("main form")
    assert grader.post(f"{address}/publishing", {"version": "1"}).status_code == 403
    refused = visitor(book.database, Role.GROWER).get(address)
    assert refused.status_code == 403
    assert "Your role does not read specs that are still being written" in words(parsed(refused))


def test_a_draft_as_a_file_reads_back(book: Book) -> None:
    address = copied(book)
    answer = book.manager.get(f"{address}/file")
    assert read_spec(answer.text, library.crops()).title == "Mango, own pack"


def test_the_history_tells_of_a_draft(book: Book) -> None:
    address = copied(book)
    press(book, address, "putting-aside")
    press(book, address, "return")
    told = words(parsed(book.manager.get(f"{address}/history")))
    assert "began the draft Mango, own pack" in told
    assert "from Mango, Codex CXS 184, version 1" in told
    assert "put the draft Mango, own pack aside" in told
    assert "took the draft Mango, own pack up again" in told


def test_a_version_published_meanwhile_is_told(book: Book) -> None:
    form = {"becomes": "next"}
    first, second = (
        str(book.manager.post(f"/specs/{book.ids['market-kestrow']}/drafts", form).headers["location"])
        for _ in range(2)
    )
    changed(book, 1, MARKET.replace('edition = "3"', 'edition = "4"', 1))
    assert press(book, first, "publishing") == 303
    assert "Version 2 of this spec was published since" in words(parsed(book.manager.get(second)))
