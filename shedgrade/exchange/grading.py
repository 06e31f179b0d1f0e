"""Grading a file from the command line: what every fruit makes under a spec, and why. No database, no web."""

from collections.abc import Callable, Mapping
from pathlib import Path

from shedgrade.domain.grading.facts import Load
from shedgrade.domain.grading.one import grade
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType
from shedgrade.domain.trays.notation import read_tray
from shedgrade.exchange.asked_for import NOTHING_TYPED, exit_code, the_fruit, the_load, the_spec, the_writer, typed
from shedgrade.exchange.graded_file import GradedFile
from shedgrade.exchange.grading_text import write_csv, write_json, write_table
from shedgrade.exchange.load_options import LoadSaid
from shedgrade.exchange.sample_csv import read_sample

_WRITERS: Mapping[str, Callable[[GradedFile], None]] = {"table": write_table, "csv": write_csv, "json": write_json}


def grade_file(
    path: Path,
    spec_name: str,
    tray_text: str | None,
    format_: str,
    *,
    crop_file: Path | None = None,
    said: LoadSaid = NOTHING_TYPED,
) -> int:
    """Print the verdicts and the totals, and give the exit code."""

    def work() -> None:
        writer = the_writer(format_, _WRITERS)
        spec = the_spec(spec_name, crop_file)
        tray = None if tray_text is None else typed(lambda: read_tray(tray_text))
        writer(_graded(path, spec, tray, the_load(said, spec)))

    return exit_code(work)


def _graded(path: Path, spec: Spec, tray: TrayType | None, load: Load) -> GradedFile:
    file = the_fruit(path, lambda content: read_sample(content, spec.crop, spec, load))
    verdicts = tuple((each, grade(spec, each.fruit, tray, each.size_code, load)) for each in file.fruit)
    return GradedFile(spec, tray, verdicts, load)
