"""The app's interface as its own description of it, with the season's ids and good values beside what anybody may send.

Without them nearly everything made up would end at "not here" or at the first field; with them most of it is stored.
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


def interface(app: FastAPI, ids: Records, drawn: Drawn) -> dict[str, Any]:
    """The description, its addresses and forms filled with what is there."""
    whole = deepcopy(app.openapi())
    for path, operations in whole["paths"].items():
        for operation in operations.values():
            for parameter in operation.get("parameters", ()):
                parameter["schema"] = _with_ids(parameter, ids)
            for content in operation.get("requestBody", {}).get("content", {}).values():
                _with_values(content["schema"], drawn.get(path, {}))
    return whole


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


def _with_values(schema: dict[str, Any], drawn: Mapping[str, set[str]]) -> None:
    """Each field's good values beside any text, and of a family ("gross-*") the first fields that a page draws."""
    for family in schema.get("patternProperties", {}):
        members = sorted(name for name in drawn if re.match(family, name))[:_MOST_OF_A_FAMILY]
        schema["properties"] |= {name: {"type": "string"} for name in members}
    for name, field in schema["properties"].items():
        good = sorted(drawn.get(name, ()))
        kind = field.get("items", field)
        if good and kind.get("format") != "binary":
            kind |= {"anyOf": [{"enum": good}, {"type": "string", "maxLength": 40}]}
    schema["required"] = [name for name in schema["properties"] if name in drawn]
