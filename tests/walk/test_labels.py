"""Above a refused form each mistake is told by the very label of its field, on every form of every page."""

from collections.abc import Iterator

import pytest
from bs4 import BeautifulSoup, Tag

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from tests.support.forms import filled
from tests.support.visitor import parsed
from tests.walk.records import records
from tests.walk.roles_table import rows
from tests.walk.walker import Walker, walker

# What is typed into every box at once: nothing, what is far too long, and what is no number or day.
TYPED = ("", "x" * 1_000, "-1e9999")
# What says which record a form is about stays as it is, and so does its key: forms of one key are one form.
KEPT = {"form_key", "version", "rows", "market", "grower", "tray", "consignment"}
# A whole table or a list has no label of its own; its mistake is told as a sentence.
WITHOUT_LABEL = {"prices", "lines", "leaving"}


def forms_of(walks: Walker) -> Iterator[tuple[str, str, dict[str, str | list[str]]]]:
    """The page, the address and the fields of every form that a manager finds in the season."""
    ids = records(walks.database, walks.person_id or 1).own
    seen = set()
    for row in rows():
        if row.route.method != "GET" or row.answers["manager"]["own"] != "200":
            continue
        tree = parsed(walks.asks(row, ids))
        for form in tree.select('form[method="post"]'):
            action = str(form["action"])
            if action not in seen and form.select('input:not([type="hidden"]), select, textarea'):
                seen.add(action)
                yield str(row.route), action, filled(tree, action)


def label_of(tree: BeautifulSoup, name: str) -> str:
    """What a person reads beside the field, or hears: its label, legend or accessible name, its group's before it."""
    field = tree.find(id=f"f-{name}")
    assert isinstance(field, Tag), f"nothing has the id f-{name}"
    shown = tree.select_one(f'label[for="f-{name}"]') or (field.find("legend") if field.name == "fieldset" else None)
    if shown is None and field.get("aria-label"):
        return str(field["aria-label"])
    if shown is None:
        heading = field.select_one("b") or (field.find_parent("section") or field).select_one("h2")
        return plain(heading) if heading else ""
    group = field.find_parent(attrs={"role": "group"})
    named = tree.find(id=str(group.get("aria-labelledby"))) if isinstance(group, Tag) else None
    return f"{plain(named)}, {plain(shown)}" if isinstance(named, Tag) else plain(shown)


def plain(shown: Tag) -> str:
    optional = {id(each) for each in shown.select(".optional")}
    words = [text for text in shown.strings if not any(id(parent) in optional for parent in text.parents)]
    return " ".join("".join(words).split())


def misnamed(tree: BeautifulSoup, at: str) -> list[str]:
    """The mistakes told by another name than their field's."""
    wrong = []
    for link in tree.select(".errors:not(.look-again) a"):
        name = str(link["href"]).removeprefix("#f-")
        label, told = label_of(tree, name), " ".join(link.get_text().split())
        if name not in WITHOUT_LABEL and not (label and told.startswith(f"{label}: ")):
            wrong.append(f"{at}: {told!r}, and the field is called {label!r}")
    return wrong


@pytest.mark.parametrize("typed", TYPED, ids=["nothing", "too long", "no number"])
def test_every_mistake_is_told_by_its_field_s_label(demo_database: Database, typed: str) -> None:
    walks = walker(demo_database, Role.MANAGER)
    wrong, refused = [], set()
    for page, action, fields in list(forms_of(walks)):
        sent = {name: value if name in KEPT and value else typed for name, value in fields.items()}
        answer = walks.posts(action, sent)
        if answer.status_code == 422:
            tree = parsed(answer)
            if tree.select(".errors a"):
                refused.add(action)
            if not action.startswith("/samples/") or not action.endswith("/fruit"):  # the bench tells whole sentences
                wrong += misnamed(tree, f"{page}, POST {action}")
    assert wrong == []
    assert len(refused) > 10, refused
