"""Ids in addresses."""

from typing import Annotated, Any

from fastapi import Path
from pydantic import BeforeValidator

# What an INTEGER column of PostgreSQL holds; past it there can be no record, and asking would be an error.
LARGEST = 2**31 - 1


def row_id(typed: str) -> int:
    """The id (or version) a form brought along; 0, which no record has, where that is none."""
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < len(str(LARGEST)) else 0


def _in_address(typed: Any) -> int:
    return row_id(str(typed))


# Read by ourselves: left to it, pydantic takes "1.0", "+1", "1_0" and " 1" for record 1 or 10, which then has several
# addresses.
RowId = Annotated[int, BeforeValidator(_in_address), Path(ge=1, le=LARGEST)]
"""A record's id in an address; anything else names no record and is answered 404."""
