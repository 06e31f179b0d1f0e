"""What a command asks for, opened: the spec with its crop, the load, the file. Whatever cannot be used is refused in
words, before anything is printed."""

import sys
from collections.abc import Callable, Mapping
from io import TextIOWrapper
from pathlib import Path
from typing import TypeVar

from shedgrade.domain.entry import EntryError
from shedgrade.domain.grading.facts import Load
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.places import Place
from shedgrade.domain.spec.text import SpecMistakes, read_crop, read_spec
from shedgrade.exchange.load_options import LoadMistakes, LoadSaid, read_load
from shedgrade.exchange.sample_csv import FileMistakes, SampleFile

FINE, REFUSED = 0, 2
NOTHING_TYPED = LoadSaid()
Read = TypeVar("Read")
_THE_CROP: Place = ("crop",)


class CannotGradeError(Exception):
    """Something asked for cannot be used; the text says what was found and what would be accepted."""


def exit_code(work: Callable[[], None]) -> int:
    """Do the work and give the exit code: 0, or 2 when something asked for cannot be used; then nothing is printed but
    the mistakes, on the error stream."""
    _say_what_the_screen_can()
    try:
        work()
    except CannotGradeError as mistake:
        sys.stderr.write(f"{mistake}\n")
        return REFUSED
    return FINE


def the_writer(name: str, writers: Mapping[str, Callable[[Read], None]]) -> Callable[[Read], None]:
    """How the answer is to be written."""
    if name not in writers:
        raise CannotGradeError(f'"{name}" is no format; {", ".join(writers)} are accepted.')
    return writers[name]


def the_spec(name: str, crop_file: Path | None) -> Spec:
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
    crops, crop_refused = library.crops(), ""
    if crop_file is not None:
        try:
            crop = _read(crop_file, "crop", read_crop)
            crops[crop.id] = crop
        except CannotGradeError as refusal:
            crop_refused = str(refusal)
    try:
        spec = _read(path, "spec", lambda text: read_spec(text, crops), besides=(_THE_CROP,) if crop_refused else ())
    except CannotGradeError as refusal:
        raise CannotGradeError("\n".join(each for each in (crop_refused, str(refusal)) if each)) from refusal
    if crop_refused:
        raise CannotGradeError(crop_refused)
    return spec


def the_load(said: LoadSaid, spec: Spec) -> Load:
    """What was said of the load."""
    try:
        return read_load(said, spec)
    except LoadMistakes as mistakes:
        raise CannotGradeError(str(mistakes)) from mistakes


def the_fruit(path: Path, read: Callable[[bytes], SampleFile]) -> SampleFile:
    """The file of fruit."""
    try:
        return read(_content(path))
    except FileMistakes as mistakes:
        raise CannotGradeError(f"{path} cannot be graded:\n{mistakes}") from mistakes


def typed(read: Callable[[], Read]) -> Read:
    """Something typed, or its refusal."""
    try:
        return read()
    except EntryError as mistake:
        raise CannotGradeError(str(mistake)) from mistake


def _say_what_the_screen_can() -> None:
    """A screen that has no sign for cm² or a thin space shows another one in its place, and the rest is still read."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")


def _read(path: Path, what: str, read: Callable[[str], Read], besides: tuple[Place, ...] = ()) -> Read:
    """A file of ours; mistakes at the places ``besides`` are not said: the refusal is "" where there is no other."""
    try:
        return read(_text(path))
    except SpecMistakes as mistakes:
        own = [each.says() for each in mistakes.mistakes if each.place not in besides]
        raise CannotGradeError("\n".join([f"{path} is no {what} yet:", *own]) if own else "") from mistakes


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
