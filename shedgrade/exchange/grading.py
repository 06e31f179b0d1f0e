"""Grading a file from the command line: what every fruit makes under a spec, and why. No database, no web."""

import sys
from collections.abc import Callable, Mapping
from io import TextIOWrapper
from pathlib import Path

from shedgrade.domain.entry import EntryError
from shedgrade.domain.grading.one import grade
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import SpecMistakes, read_spec
from shedgrade.domain.trays.counts import TrayType
from shedgrade.domain.trays.notation import read_tray
from shedgrade.exchange.graded_file import GradedFile
from shedgrade.exchange.grading_text import write_csv, write_json, write_table
from shedgrade.exchange.sample_csv import FileMistakes, read_sample

FINE, REFUSED = 0, 2


class CannotGradeError(Exception):
    """Something asked for cannot be used; the text says what was found and what would be accepted."""


def grade_file(path: Path, spec_name: str, tray_text: str | None, format_: str) -> int:
    """Print the verdicts and the totals, and give the exit code: 0, or 2 when something asked for cannot be used;
    then nothing is printed but the mistakes, on the error stream."""
    _say_what_the_screen_can()
    try:
        writer = _writer(format_)
        spec, tray = _spec(spec_name), _tray(tray_text)
        graded = _graded(path, spec, tray)
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


def _graded(path: Path, spec: Spec, tray: TrayType | None) -> GradedFile:
    try:
        file = read_sample(_content(path), spec.crop, spec)
    except FileMistakes as mistakes:
        raise CannotGradeError(f"{path} cannot be graded:\n{mistakes}") from mistakes
    verdicts = tuple((each, grade(spec, each.fruit, tray, each.size_code)) for each in file.fruit)
    return GradedFile(spec, tray, verdicts)


def _writer(name: str) -> Callable[[GradedFile], None]:
    writers: Mapping[str, Callable[[GradedFile], None]] = {
        "table": write_table,
        "csv": write_csv,
        "json": write_json,
    }
    if name not in writers:
        raise CannotGradeError(f'"{name}" is no format; {", ".join(writers)} are accepted.')
    return writers[name]


def _spec(name: str) -> Spec:
    """A published standard by its name, or a spec file."""
    known = library.standards()
    if name in known:
        return known[name]
    path = Path(name)
    if not path.is_file():
        names = "\n".join(f"  {each.id}  {each.title}" for each in known.values())
        raise CannotGradeError(f'"{name}" is no spec that comes with the program, and no file. Known are:\n{names}')
    try:
        return read_spec(_text(path), library.crops())
    except SpecMistakes as mistakes:
        raise CannotGradeError(f"{path} is no spec yet:\n{mistakes}") from mistakes


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
