"""What each form sends, told beside its route: forms are read raw, so nothing else could say it."""

from typing import Any

from shedgrade.web.once import KEY

_TEXT = {"type": "string"}


def publishes(*names: str, many: tuple[str, ...] = (), file: str = "") -> dict[str, Any]:
    """The ``openapi_extra`` of a route that reads a form with these fields.

    A name that ends in ``*`` stands for a family of fields ("gross-*": one a row). The fields named in ``many`` may be
    sent several times; ``file`` is the field of an upload. Every form carries its key besides.
    """
    own: dict[str, Any] = {name: dict(_TEXT) for name in (*names, KEY) if not name.endswith("*")}
    own |= {name: {"type": "array", "items": _TEXT} for name in many}
    schema: dict[str, Any] = {"type": "object", "properties": own}
    if families := [name.removesuffix("*") for name in names if name.endswith("*")]:
        schema["patternProperties"] = {f"^{family}": _TEXT for family in families}
    kind = "application/x-www-form-urlencoded"
    if file:
        own[file] = {"type": "string", "format": "binary"}
        kind = "multipart/form-data"
    return {"requestBody": {"required": True, "content": {kind: {"schema": schema}}}}
