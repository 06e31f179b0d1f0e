"""What a browser would send of a form as it stands on the page."""

from bs4 import BeautifulSoup, Tag

from tests.support.visitor import one

Fields = dict[str, str | list[str]]


def filled(tree: BeautifulSoup, action: str, **typed: str | list[str]) -> Fields:
    """The fields of the page's form that is sent there, with some of them typed anew."""
    form = one(tree, f'form[action="{action}"]')
    fields: Fields = {}
    for field in form.select("[name]"):
        for value in _values(field):
            before = fields.get(str(field["name"]))
            fields[str(field["name"])] = value if before is None else [*_several(before), value]
    assert set(typed) <= {str(field["name"]) for field in form.select("[name]")}, "the form has no such field"
    return fields | typed


def _values(field: Tag) -> list[str]:
    if field.name == "select":
        chosen = field.select("option[selected]") or field.select("option")[:1]
        return [str(option.get("value", "")) for option in chosen]
    if field.name == "textarea":
        return [field.get_text()]
    if field.name == "button" or (field.get("type") in {"checkbox", "radio"} and field.get("checked") is None):
        return []
    return [str(field.get("value", ""))]


def _several(value: str | list[str]) -> list[str]:
    return value if isinstance(value, list) else [value]
