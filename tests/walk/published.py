"""The interface as the app itself describes it, with the season's ids; and the same with forms filled as people would.

Without them nearly everything made up would end at "not here" or at the first field; with them much of it is stored.
"""

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from copy import deepcopy
from typing import Any
from urllib.parse import urlsplit

from bs4 import BeautifulSoup, Tag
from fastapi import FastAPI

from tests.walk.records import Records
from tests.walk.roles_table import rows
from tests.walk.routes import api_routes
from tests.walk.walker import Walker

Drawn = Mapping[str, Mapping[str, set[str]]]
_MOST_OF_A_FAMILY = 12
_KEYS = ("form_key", "entry_key")  # another one each time, or the second form would be taken for the first sent again

# What a person would type where the forms stand empty, by the name of the field or of its family.
TYPED: Mapping[str, tuple[str, ...]] = {
    "again": ("nine wet tarpaulins", "402817"),
    "area": ("2.1",),
    "bins-": ("1", "4"),
    "buyer": ("Harbour Fruit",),
    "contact": ("gate by the creek",),
    "counts": ("12 14 16",),
    "currency": ("AUD",),
    "empties": ("1", "5"),
    "gross": ("17.2",),
    "gross-": ("440", "1 760"),
    "labels-": ("A1", "A1, A2"),
    "mark-": ("2.5", "12"),
    "name": ("Tallow Creek", "Ridge 3"),
    "net": ("7",),
    "new_password": ("nine wet tarpaulins",),
    "new_pin": ("402817",),
    "number": ("9001",),
    "password": ("nine wet tarpaulins",),
    "picked-from": ("2026-01-30T05:00",),
    "picked-to": ("2026-01-30T10:30",),
    "pin": ("402817",),
    "pulp": ("26.4",),
    "reason": ("wrong fruit",),
    "received": ("2026-01-30T12:00",),
    "roles": ("grader", "marketer", "grower"),
    "seen": ("rub", "rot"),
    "source": ("the levy notice",),
    "tare": ("0.9",),
    "total": ("41", "205"),
    "trays-": ("0", "3"),
    "value": ("7",),
    "variety": ("Calypso",),
    "weight": ("412", "385.5"),
}
FILE = "weight g,bin\n412,1\n385.5,2\n"


def interface(app: FastAPI, ids: Records) -> dict[str, Any]:
    """The description, its addresses filled with what is there."""
    whole = deepcopy(app.openapi())
    for operations in whole["paths"].values():
        for operation in operations.values():
            for parameter in operation.get("parameters", ()):
                parameter["schema"] = _with_ids(parameter, ids)
    return whole


def filled_in(whole: Mapping[str, Any], drawn: Drawn) -> dict[str, Any]:
    """The same with every form filled as a person would."""
    filled = deepcopy(dict(whole))
    for path, operations in filled["paths"].items():
        for content in operations.get("post", {}).get("requestBody", {}).get("content", {}).values():
            content["schema"] = _form(content["schema"], drawn.get(path, {}))
    return filled


def drawn_values(walks: Walker, ids: Records) -> Drawn:
    """By the path of a route and the name of a field: what the pages' forms would send it, and could."""
    found: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    for form in drawn_forms(walks, ids):
        for name, values in _choices(form):
            found[route_at(str(form["action"]))][name] |= values
    return found


def drawn_forms(walks: Walker, ids: Records) -> Iterator[Tag]:
    """Every form that posts, on every page there is."""
    for row in rows():
        if row.route.method == "GET":
            yield from BeautifulSoup(walks.asks(row, ids.own).text, "html.parser").select("form[method=post]")


def route_at(address: str) -> str:
    """The path of the POST route that a form's address leads to."""
    plain = urlsplit(address).path
    posts = [route for route in api_routes() if route.methods == {"POST"}]
    fits = [route.path for route in posts if route.path_regex.match(plain)]
    assert len(fits) == 1, f"a form leads to {address}, which {len(fits)} POST routes answer"
    return fits[0]


def _choices(form: Tag) -> Iterator[tuple[str, set[str]]]:
    for field in form.select("input[name], select[name], textarea[name], button[name]"):
        options = field.select("option[value]")
        yield str(field["name"]), {str(each.get("value", "")) for each in options or [field]}


def _with_ids(parameter: Mapping[str, Any], ids: Records) -> dict[str, Any]:
    """In an address only ids, or there would be no end of pages that are not there; in a query anything as well."""
    known = sorted({each[parameter["name"]] for each in ids if each.get(parameter["name"])}, key=str)
    if not known:
        return dict(parameter["schema"])
    return {"enum": known} if parameter["in"] == "path" else {"anyOf": [parameter["schema"], {"enum": known}]}


def _form(published: Mapping[str, Any], drawn: Mapping[str, set[str]]) -> dict[str, Any]:
    """Of a family ("gross-*") the first fields that a page draws."""
    fields = dict(published["properties"])
    for family in published.get("patternProperties", {}):
        members = sorted(name for name in drawn if re.match(family, name))
        fields |= {name: {"type": "string"} for name in members[:_MOST_OF_A_FAMILY]}
    good = {name: _good(name, field, drawn.get(name, set())) for name, field in fields.items()}
    return {"type": "object", "properties": good, "required": list(good), "additionalProperties": False}


def _good(name: str, field: Mapping[str, Any], drawn: set[str]) -> dict[str, Any]:
    if name in _KEYS:
        return {"type": "string", "pattern": "^[a-z]{24}$"}
    if field.get("format") == "binary":
        return {**field, "enum": [FILE]}
    typed = TYPED.get(name) or TYPED.get(name.partition("-")[0] + "-") or ("",)
    kind: dict[str, Any] = {"enum": sorted(typed if drawn <= {""} else drawn)}
    return {"type": "array", "items": kind, "maxItems": 3} if field.get("type") == "array" else kind
