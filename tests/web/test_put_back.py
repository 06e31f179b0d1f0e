"""What was typed is put back into a page's form, and into nothing else."""

import pytest
from bs4 import BeautifulSoup

from shedgrade.web.kept import MOST_LETTERS, Fields, KeptForm, worth_keeping
from shedgrade.web.put_back import Filled, LeftOver, put_back
from tests.support.visitor import one, typed_in

PAGE = """<p>Über &amp; out</p>
<form method="get" action="/loads"><input name="team" value=""></form>
<form method="post" action="/loads#net">
  <input type="hidden" name="form_key" value="new"><input type="hidden" name="version" value="7">
  <input name="team" value="old"><input name="untouched" value="stays">
  <input type="password" name="word"><input type="file" name="file">
  <input type="checkbox" name="part" value="yes" checked><input type="checkbox" name="roles" value="a">
  <input type="checkbox" name="roles" value="b"><input type="radio" name="stage" value="1" checked>
  <input type="radio" name="stage" value="2">
  <select name="block"><option value="">Choose</option><option value="1" selected>One</option>
  <option value="2">Two</option></select>
  <textarea name="note">before</textarea>
  <input name="bins" value="1">
  <input name="bins" value="1">
</form>
<form method="post" action="/loads"><input name="team" value="second"></form>"""


def said(left_over: LeftOver, asks_secret: bool) -> str:
    return f"<b>{len(left_over)}</b>" + ("<i>secret</i>" if asks_secret else "")


def filled(*fields: tuple[str, str], html: str = PAGE) -> Filled:
    found = put_back(html, KeptForm("/loads", fields), said)
    assert found is not None
    return found


def form(found: Filled) -> BeautifulSoup:
    return BeautifulSoup(str(one(BeautifulSoup(found.html, "html.parser"), "form[data-unsaved]")), "html.parser")


def test_each_kind_of_field_holds_what_was_typed() -> None:
    typed: Fields = (
        ("team", 'Night "A" <b>&amp;'),
        ("roles", "b"),
        ("stage", "2"),
        ("block", "2"),
        ("note", "</textarea><script>x</script>"),
        ("bins", "3"),
        ("bins", "4"),
    )
    page = form(filled(*typed))
    assert typed_in(page, "team") == 'Night "A" <b>&amp;'
    assert [str(box["value"]) for box in page.select("[checked]")] == ["b", "2"]
    assert typed_in(page, "block") == "2"
    assert typed_in(page, "note") == "</textarea><script>x</script>"
    assert [str(box["value"]) for box in page.select('[name="bins"]')] == ["3", "4"]
    assert typed_in(page, "untouched") == "stays"
    assert page.select("script") == []


def test_the_rest_of_the_page_stays_as_it_was() -> None:
    html = filled(("team", "x")).html
    assert html.startswith('<p>Über &amp; out</p>\n<form method="get" action="/loads"><input name="team" value="">')
    assert html.endswith('<form method="post" action="/loads"><input name="team" value="second"></form>')


def test_a_form_that_is_out_of_date_stays_so_and_its_key_is_the_new_one() -> None:
    page = form(filled(("team", "x"), ("version", "3"), ("form_key", "old")))
    assert (typed_in(page, "version"), typed_in(page, "form_key")) == ("3", "new")


def test_no_password_and_no_file_is_put_back() -> None:
    page = form(filled(("team", "x"), ("word", "secret"), ("file", "c.csv")))
    assert (typed_in(page, "word"), typed_in(page, "file")) == ("", "")


def test_what_has_no_place_is_said() -> None:
    found = filled(("team", "x"), ("gross-9", "412"), ("labels-9", " "))
    assert found.left_over == (("gross-9", "412"),)
    assert "<b>1</b>" in found.html


def test_a_form_that_asks_for_a_secret_is_said_to() -> None:
    secret = PAGE.replace('name="word"', 'name="new_password"')
    assert "<i>secret</i>" in filled(("team", "x"), html=secret).html
    assert "<i>secret</i>" not in filled(("team", "x")).html


@pytest.mark.parametrize("html", ["", "<p>x</p>", '<form method="post" action="/other"><input name="team"></form>'])
def test_a_page_without_the_form_is_left_alone(html: str) -> None:
    assert put_back(html, KeptForm("/loads", (("team", "x"),)), said) is None


def test_a_form_that_is_only_a_button_takes_nothing() -> None:
    html = (
        '<form method="post" action="/loads"><input type="hidden" name="reason" value="x"><button>Undo</button></form>'
    )
    assert put_back(html, KeptForm("/loads", (("reason", "x"),)), said) is None


@pytest.mark.parametrize(
    "fields",
    [
        (),
        (("form_key", "k"), ("version", "3"), ("team", " ")),
        (("password", "three wet mangoes"), ("pin", "402817"), ("now", "x"), ("again", "x"), ("new_pin", "402817")),
        (("note", "x" * MOST_LETTERS),),
    ],
)
def test_an_empty_form_a_secret_and_a_flood_are_not_kept(fields: Fields) -> None:
    assert worth_keeping("/loads", fields) is None


def test_of_a_form_with_a_secret_the_rest_is_kept() -> None:
    kept = worth_keeping("/people", [("name", "Bo"), ("password", "three wet mangoes"), ("form_key", "k")])
    assert kept == KeptForm("/people", (("name", "Bo"),))
