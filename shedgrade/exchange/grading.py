"""Grading a file from the command line: what every fruit makes under a spec, and why. No database, no web."""

import sys
from collections.abc import Callable, Mapping
from io import TextIOWrapper
from pathlib import Path
from typing import TypeVar

from shedgrade.domain.entry import EntryError
from shedgrade.domain.grading.facts import Load
from shedgrade.domain.grading.one import grade
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import SpecMistakes, read_crop, read_spec
from shedgrade.domain.trays.counts import TrayType
from shedgrade.domain.trays.notation import read_tray
from shedgrade.exchange.graded_file import GradedFile
from shedgrade.exchange.grading_text import write_csv, write_json, write_table
from shedgrade.exchange.load_options import LoadSaid, read_load
from shedgrade.exchange.sample_csv import FileMistakes, read_sample

FINE, REFUSED = 0, 2
NOTHING_TYPED = LoadSaid()
Read = TypeVar("Read")


class CannotGradeError(Exception):
    """Something asked for cannot be used; the text says what was found and what would be accepted."""


def grade_file(
    path: Path,
    spec_name: str,
    tray_text: str | None,
    format_: str,
    *,
    crop_file: Path | None = None,
    said: LoadSaid = NOTHING_TYPED,
) -> int:
    """Print the verdicts and the totals, and give the exit code: 0, or 2 when something asked for cannot be used;
    then nothing is printed but the mistakes, on the error stream."""
    _say_what_the_screen_can()
    try:
        writer = _writer(format_)
        spec, tray = _spec(spec_name, crop_file), _tray(tray_text)
        graded = _graded(path, spec, tray, _load(said, spec))
    except CannotGradeError as mistake:
        sys.stderr.write(f"{mistake}\n")
        return REFUSED
    writer(graded)
    return FINE


def _say_what_the_screen_can() -> None:
    """A screen that has no sign for cm² or a thin space shows another one in its place, and the rest is still read."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")


def _graded(path: Path, spec: Spec, tray: TrayType | None, load: Load) -> GradedFile:
    try:
        file = read_sample(_content(path), spec.crop, spec)
    except FileMistakes as mistakes:
        raise CannotGradeError(f"{path} cannot be graded:\n{mistakes}") from mistakes
    verdicts = tuple((each, grade(spec, each.fruit, tray, each.size_code, load)) for each in file.fruit)
    return GradedFile(spec, tray, verdicts, load)


def _writer(name: str) -> Callable[[GradedFile], None]:
    writers: Mapping[str, Callable[[GradedFile], None]] = {
        "table": write_table,
        "csv": write_csv,
        "json": write_json,
    }
    if name not in writers:
        raise CannotGradeError(f'"{name}" is no format; {", ".join(writers)} are accepted.')
    return writers[name]


def _spec(name: str, crop_file: Path | None) -> Spec:
    """A published standard by its name, or a spec file, of a crop of the program's or of the crop file."""
    known = library.standards()
    if name in known:
        if crop_file is not None:
            raise CannotGradeError(f'"{name}" comes with its crop; --crop is accepted beside a spec file.')
        return known[name]
    path = Path(name)
    if not path.is_file():
        names = "\n".join(f"  {each.id}  {each.title}" for each in known.values())
        raise CannotGradeError(f'"{name}" is no spec that comes with the program, and no file. Known are:\n{names}')
    crops = library.crops()
    if crop_file is not None:
        crop = _read(crop_file, "crop", read_crop)
        crops[crop.id] = crop
    return _read(path, "spec", lambda text: read_spec(text, crops))


def _read(path: Path, what: str, read: Callable[[str], Read]) -> Read:
    try:
        return read(_text(path))
    except SpecMistakes as mistakes:
        raise CannotGradeError(f"{path} is no {what} yet:\n{mistakes}") from mistakes


def _load(said: LoadSaid, spec: Spec) -> Load:
    try:
        return read_load(said, spec)
    except EntryError as mistake:
        raise CannotGradeError(str(mistake)) from mistake


def _tray(text: str | None) -> TrayType | None:
    try:
        return None if text is None else read_tray(text)
    except EntryError as mistake:
        raise CannotGradeError(str(mistake)) from mistake


def _content(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as mistake:
        raise CannotGradeError(f"{path} cannot be read: {mistake.strerror}") from mistake


def _text(path: Path) -> str:
    try:
        return _content(path).decode("utf-8-sig")
    except UnicodeDecodeError as mistake:
        raise CannotGradeError(f"{path} is not written in UTF-8; save it as UTF-8.") from mistake
