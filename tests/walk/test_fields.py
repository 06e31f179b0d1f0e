"""Every form publishes its fields: what its page draws and what its handler asks for."""

import ast
import inspect
import re
import sys
from collections import defaultdict
from types import ModuleType
from typing import Any

import pytest
from bs4 import Tag

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.posted import Posted
from tests.walk.published import drawn_forms, route_at
from tests.walk.records import records
from tests.walk.routes import api_routes
from tests.walk.walker import walker

POSTS = {route.path: route for route in api_routes() if "POST" in (route.methods or ())}
_HANDLERS = ("shedgrade.web.routes.", "shedgrade.web.proving")
_READS = ("text", "read", "choice", "ticked")


def schema_of(extra: dict[str, Any]) -> dict[str, Any]:
    """The form in an operation."""
    (content,) = extra["requestBody"]["content"].values()
    schema: dict[str, Any] = content["schema"]
    return schema


def unpublished(path: str, names: set[str]) -> set[str]:
    """Those of the names that the route does not publish."""
    schema = schema_of(POSTS[path].openapi_extra or {})
    families = schema.get("patternProperties", {})
    return {
        name for name in names - set(schema["properties"]) if not any(re.match(family, name) for family in families)
    }


def fields_of(form: Tag) -> dict[str, list[str]]:
    """What the form would send, sent as it is drawn."""
    sent = defaultdict(list)
    for field in form.select("input[name], select[name], textarea[name], button[name]"):
        chosen = field.select_one("option[selected]")
        sent[str(field["name"])].append(str((chosen or field).get("value", "")))
    return sent


def test_every_post_route_publishes_a_form() -> None:
    without = [path for path, route in POSTS.items() if "requestBody" not in (route.openapi_extra or {})]
    assert without == [], "Give these routes openapi_extra=publishes(...), from shedgrade/web/fields.py."


def test_what_a_page_draws_is_published(demo_database: Database) -> None:
    walks = walker(demo_database, Role.MANAGER)
    drawn: dict[str, set[str]] = defaultdict(set)
    for form in drawn_forms(walks, records(demo_database, walks.person_id or 0)):
        others = form.select("[formaction]:not([formmethod=get])")
        for target in (form["action"], *(button["formaction"] for button in others)):
            drawn[route_at(str(target))] |= set(fields_of(form))
    assert len(drawn) > 15
    assert {path: names for path, found in drawn.items() if (names := unpublished(path, found))} == {}


def test_what_a_handler_asks_for_is_published(demo_database: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each form is sent as it is drawn; what is asked of its fields meanwhile is written down."""
    asked: dict[str, set[str]] = defaultdict(set)
    current = ""
    watch(monkeypatch, lambda name: asked[current].add(name))  # noqa: PLW0108 - current changes
    walks = walker(demo_database, Role.MANAGER)
    for form in list(drawn_forms(walks, records(demo_database, walks.person_id or 0))):
        current = route_at(str(form["action"]))
        walks.posts(str(form["action"]), fields_of(form))
    assert len(asked) > 15
    assert {path: names for path, found in asked.items() if path and (names := unpublished(path, found))} == {}


def test_what_a_handler_names_is_published() -> None:
    """Also where a run of it does not come by: the names written in the modules of the routes."""
    told: dict[str, set[str]] = defaultdict(set)
    for route in POSTS.values():
        schema = schema_of(route.openapi_extra or {})
        told[route.endpoint.__module__] |= {*schema["properties"], *schema.get("patternProperties", ())}
    named = {module: names_asked_in(sys.modules[module]) for module in told}
    assert len(set().union(*named.values())) > 15
    assert {module: names - told[module] for module, names in named.items() if names - told[module]} == {}


def names_asked_in(module: ModuleType) -> set[str]:
    """What a module asks ``posted`` or ``answers`` for by a name it writes out."""
    calls = (
        each for each in ast.walk(ast.parse(inspect.getsource(module))) if isinstance(each, ast.Call) and each.args
    )
    asking = (
        call.args[0]
        for call in calls
        if isinstance(call.func, ast.Attribute)
        and call.func.attr in {"get", "every", *_READS}
        and ast.unparse(call.func.value) in {"posted", "answers", "at.posted", "self.posted"}
    )
    return {name.value for name in asking if isinstance(name, ast.Constant) and isinstance(name.value, str)}


def watch(monkeypatch: pytest.MonkeyPatch, saw: Any) -> None:
    """Have every name told that is asked of a form: anywhere by Answers, in a handler by the form itself (a view that
    several forms share looks for all of theirs)."""
    for kind, method in [*((Answers, each) for each in _READS), (Posted, "every"), (Posted, "get")]:
        monkeypatch.setattr(kind, method, watched(getattr(kind, method), saw, anywhere=kind is Answers))


def watched(method: Any, saw: Any, *, anywhere: bool) -> Any:
    def asks(self: Any, name: str, *rest: Any, **options: Any) -> Any:
        if anywhere or sys._getframe(1).f_globals["__name__"].startswith(_HANDLERS):
            saw(name)
        return method(self, name, *rest, **options)

    return asks


def test_a_family_stands_for_its_names_and_an_upload_is_multipart() -> None:
    form = schema_of(publishes("rows", "gross-*", many=("seen",)))
    assert set(form["properties"]) == {"rows", "seen", "form_key"}
    assert form["properties"]["seen"]["type"] == "array"
    assert form["patternProperties"] == {"^gross-": {"type": "string"}}
    upload = publishes("question", file="file")
    assert list(upload["requestBody"]["content"]) == ["multipart/form-data"]
    assert schema_of(upload)["properties"]["file"]["format"] == "binary"
