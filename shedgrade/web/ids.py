"""Ids in addresses."""

from typing import Annotated

from fastapi import Path

# What an INTEGER column of PostgreSQL holds; past it there can be no record, and asking would be an error.
LARGEST = 2**31 - 1

RowId = Annotated[int, Path(ge=1, le=LARGEST)]
"""A record's id in an address; anything else names no record and is answered 404."""


def row_id(typed: str) -> int:
    """The id (or version) a form brought along; 0, which no record has, where that is none."""
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < len(str(LARGEST)) else 0
