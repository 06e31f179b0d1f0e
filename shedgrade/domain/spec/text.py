"""A spec file and a crop file, read from TOML; and the one canonical form in which a spec is written.

``read_spec(write_spec(spec)) == spec``. The canonical form is what is hashed, so it must not depend on how the
file was typed: order of keys, spaces and comments do not reach it. Between text and values stands the tree: what TOML
makes of the text, plain dictionaries, lists, texts, numbers and flags, which a form can show and change key by key.

A source is inherited: a limit, band, row or outlet says only what differs from the one above it. A note belongs to
the place where it is written and is not inherited.
"""

from collections.abc import Mapping
from dataclasses import replace

from shedgrade.domain.crop import Crop
from shedgrade.domain.spec.dumping import dump
from shedgrade.domain.spec.known import Known
from shedgrade.domain.spec.mistakes import Mistake, Notebook, SpecMistakes, parsed, suggestion
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.reading import Table
from shedgrade.domain.spec.reading_crops import read_crop_table
from shedgrade.domain.spec.reading_limits import read_limits, read_severities
from shedgrade.domain.spec.reading_outlets import read_classes, read_outlets
from shedgrade.domain.spec.reading_scales import read_scale
from shedgrade.domain.spec.reading_sources import read_top_source
from shedgrade.domain.spec.reading_tolerances import read_sets, read_tolerances
from shedgrade.domain.spec.writing import tree_of

__all__ = ["Mistake", "SpecMistakes", "dump", "read_crop", "read_spec", "read_tree", "tree_of", "write_spec"]


def read_crop(text: str) -> Crop:
    """Read a crop file; SpecMistakes holds every mistake with its line."""
    notebook = Notebook(text)
    crop = read_crop_table(Table(parsed(text), notebook))
    notebook.check()
    return crop


def read_spec(text: str, crops: Mapping[str, Crop]) -> Spec:
    """Read a spec file against the crops known; SpecMistakes holds every mistake with its line."""
    return _read(parsed(text), Notebook(text), crops)


def read_tree(tree: Mapping[str, object], crops: Mapping[str, Crop]) -> Spec:
    """Read a spec from a tree as ``tree_of`` gives it; SpecMistakes holds every mistake with its place."""
    return _read(tree, Notebook(), crops)


def write_spec(spec: Spec) -> str:
    """The canonical text of a spec; equal specs give equal texts."""
    return dump(tree_of(spec))


def _read(tree: Mapping[str, object], notebook: Notebook, crops: Mapping[str, Crop]) -> Spec:
    table = Table(tree, notebook)
    crop = _crop(table, crops)
    source = read_top_source(table)
    classes = read_classes(table)
    known = Known(crop, source, tuple(each.id for each in classes))
    scale = read_scale(table, known)
    known = replace(known, sizes=scale.names)
    severities = read_severities(table, known)
    limits, known = read_limits(table, replace(known, severities=tuple(each.id for each in severities)))
    sets = read_sets(table, known, limits)
    tolerances = read_tolerances(table, known, limits, sets)
    outlets = read_outlets(table, known, limits)
    head = (table.id(), table.text("title"), table.text("edition"), table.words("notes", required=False))
    table.done()
    notebook.check()
    if crop is None:  # cannot be: an unknown crop was noted
        raise SpecMistakes(notebook.mistakes)
    spec_id, title, edition, notes = head
    return Spec(
        *(spec_id, title, crop, edition, classes, scale, limits, outlets, source, notes),
        *(severities, sets, tolerances),
    )


def _crop(table: Table, crops: Mapping[str, Crop]) -> Crop | None:
    crop_id = table.text("crop")
    if crop_id and crop_id not in crops:
        table.note("crop", f'"{crop_id}"', *suggestion(crop_id, crops))
    return crops.get(crop_id)
