"""The crops and the published standards that come with the program, read at first use."""

from functools import cache
from pathlib import Path

from shedgrade.domain.crop import Crop
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import read_crop, read_spec

_HERE = Path(__file__).parent


@cache
def _crops() -> tuple[Crop, ...]:
    return tuple(read_crop(path.read_text(encoding="utf-8")) for path in sorted((_HERE / "crops").glob("*.toml")))


@cache
def _standards() -> tuple[Spec, ...]:
    known = crops()
    files = sorted((_HERE / "standards").glob("*.toml"))
    return tuple(read_spec(path.read_text(encoding="utf-8"), known) for path in files)


def crops() -> dict[str, Crop]:
    """Every crop by its id; the dictionary is the caller's own."""
    return {crop.id: crop for crop in _crops()}


def standards() -> dict[str, Spec]:
    """Every published standard by its id; the dictionary is the caller's own."""
    return {spec.id: spec for spec in _standards()}
