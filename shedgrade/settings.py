"""What the machine decides: where the data are, which hosts answer, which time zone the shed is in."""

import os
from dataclasses import dataclass, field
from datetime import UTC, timedelta, tzinfo
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import platformdirs

MIB = 1024 * 1024


class SettingError(Exception):
    """An environment variable holds something that cannot be used."""


@dataclass(frozen=True, slots=True)
class Settings:
    """One set of settings for one running program."""

    database: str
    shed_name: str = "The shed"
    zone: tzinfo = UTC
    hosts: tuple[str, ...] = ("*",)
    upload_limit: int = 16 * MIB
    clock_shift: timedelta = field(default=timedelta(0))
    demo: bool = False


def data_folder() -> Path:
    """The operating system's folder for this program's data, made if it is not there."""
    return Path(platformdirs.user_data_dir("shedgrade", appauthor=False, ensure_exists=True))


def from_environment(database: str | None = None) -> Settings:
    """Settings from SHEDGRADE_DATABASE, SHEDGRADE_SHED, SHEDGRADE_TIME_ZONE and SHEDGRADE_HOSTS; the given
    database goes before the variable."""
    chosen = database or os.environ.get("SHEDGRADE_DATABASE") or str(data_folder() / "shed.db")
    return Settings(
        database=chosen,
        shed_name=os.environ.get("SHEDGRADE_SHED") or "The shed",
        zone=_zone(os.environ.get("SHEDGRADE_TIME_ZONE") or "UTC"),
        hosts=tuple(os.environ.get("SHEDGRADE_HOSTS", "*").split()) or ("*",),
    )


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError) as mistake:
        raise SettingError(f'SHEDGRADE_TIME_ZONE is "{name}"; a name such as Australia/Brisbane is wanted') from mistake
