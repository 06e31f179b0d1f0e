"""A tree of plain values, written as TOML in one form: a heading for each table, one entry a line in its lists."""

import json
import re
from collections.abc import Iterable, Mapping

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+", re.ASCII)


def dump(tree: Mapping[str, object]) -> str:
    """The text of a tree; TypeError for a value that is no text, whole number, flag, list or dictionary."""
    head = {key: value for key, value in tree.items() if not _is_block(value)}
    blocks = [_block("", head, lists_of_lines=True)]
    for key, value in tree.items():
        if isinstance(value, dict):
            blocks.append(_block(f"[{_key(key)}]", value))
        elif isinstance(value, list) and _is_block(value):
            blocks += [_block(f"[[{_key(key)}]]", entry) for entry in value]
    return "\n".join(blocks)


def _is_block(value: object) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and bool(value) and _all_tables(value))


def _all_tables(values: list[object]) -> bool:
    return all(isinstance(value, dict) for value in values)


def _block(heading: str, table: Mapping[str, object], *, lists_of_lines: bool = False) -> str:
    lines = [heading] if heading else []
    for key, value in table.items():
        in_lines = isinstance(value, list) and bool(value) and (lists_of_lines or _all_tables(value))
        written = _lines(_value(entry) for entry in value) if in_lines and isinstance(value, list) else _value(value)
        lines.append(f"{_key(key)} = {written}")
    return "".join(f"{line}\n" for line in lines)


def _lines(values: Iterable[str]) -> str:
    return "".join(["[\n", *(f"  {value},\n" for value in values), "]"])


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, list):
        return f"[{', '.join(_value(entry) for entry in value)}]"
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{_key(key)} = {_value(entry)}' for key, entry in value.items())} }}"
    raise TypeError(f"{value!r} does not stand in a spec")


def _key(key: str) -> str:
    return key if _BARE_KEY.fullmatch(key) else _text(key)


def _text(value: str) -> str:
    """A TOML basic string. JSON's escapes are TOML's too; control signs never get into a spec."""
    return json.dumps(str(value), ensure_ascii=False)
