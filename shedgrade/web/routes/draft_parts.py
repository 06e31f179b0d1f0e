"""Editing a draft part by part: every part's form is drawn from one description of its fields and saved as a whole."""

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions.spec_drafts import ClashError, DraftError, change_draft
from shedgrade.domain.spec import library
from shedgrade.domain.spec.comparing import compare
from shedgrade.domain.spec.merging import Merged
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.taking_out import gone, taken_out
from shedgrade.domain.spec.text import SpecMistakes, read_tree, tree_of
from shedgrade.domain.spec.usual import with_usual
from shedgrade.reports.told_specs import say_change
from shedgrade.storage import spec_drafts
from shedgrade.storage.missing import MissingError
from shedgrade.storage.spec_drafts import DraftWhole
from shedgrade.storage.stale import StaleError
from shedgrade.web.answers import Answers
from shedgrade.web.draft_fields import FIELD_NAMES, NEW_LIMIT, Part, limit_part, part_of
from shedgrade.web.draft_page import draft_now, draft_page
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import kept_here, page
from shedgrade.web.part_form import WAS, Built, Pairs, after_deed, held_of, typed_of
from shedgrade.web.part_mistakes import Elsewhere, Sorted, sorted_out
from shedgrade.web.part_names import well_named
from shedgrade.web.part_view import Box, Drawing, boxes_of, is_at, known_words, labels_of, values_in
from shedgrade.web.state import CurrentPosted, ReadSession
from shedgrade.web.whoami import SpecKeeper

router = APIRouter(prefix="/drafts/{draft_id}/parts")

TAKE_OUT = "take-out"
"""The deed that saves a part and takes what it no longer has out of the rest of the spec too."""


@dataclass(frozen=True, slots=True)
class PartView:
    """The form of one part. ``elsewhere`` are mistakes that it would make in other parts, ``differs`` by field what is
    stored where somebody saved something else meanwhile, ``both_sides`` that and what is typed, by what the page calls
    the field, ``unsaved`` whether a button has changed the form only. ``known``
    are lists of words that may be typed, by their ids; ``takes_out`` is what can go with a class or size taken out."""

    title: str
    draft: DraftWhole
    part: Part
    boxes: list[Box]
    more: list[Box]
    more_open: bool
    version: int
    errors: Mapping[str, str]
    labels: Mapping[str, str]
    elsewhere: list[Elsewhere]
    differs: Mapping[str, str]
    both_sides: list[tuple[str, str, str]]
    stored_now: str
    unsaved: bool
    known: Mapping[str, list[str]]
    takes_out: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Form:
    """A part's form: the draft as it stands, the spec and the version of it that the form was made from."""

    draft: DraftWhole
    spec: Spec
    part: Part
    version: int


@router.get("/{part}")
def edit(
    request: Request, person: SpecKeeper, session: ReadSession, draft_id: RowId, part: str, at: str = ""
) -> HTMLResponse:
    """A part's form as it is stored, or as it was left half-typed, open where the field ``at`` stands."""
    found = spec_drafts.draft(session, draft_id)
    shown = _part(found.spec, part)
    if not found.is_open:
        raise MissingError
    stored = [*typed_of(shown.fields, held_of(tree_of(found.spec), shown.place)), *shown.begun]
    typed = list(kept_here(request, person)) or stored
    form = Form(found, found.spec, shown, found.row.version)
    return page(request, "drafts/part.html", _view(form, typed, at=at))


@router.post("/{part}", openapi_extra=publishes("version", "do", *FIELD_NAMES))
def save(
    request: Request, person: SpecKeeper, session: FormSession, posted: CurrentPosted, draft_id: RowId, part: str
) -> Response:
    """Change the form by one of its buttons, or save the part if the whole spec holds with it. The form is read against
    the spec it was made from; what was saved since is joined to it."""
    found, version = spec_drafts.draft(session, draft_id), Answers(posted).version()
    opened = found.spec_at(version) or found.spec
    form = Form(found, opened, _part(opened, part), version)
    deed, typed = posted.get("do", ""), list(posted.fields)
    if deed and deed != TAKE_OUT:
        typed, touched = after_deed(typed, deed)
        return page(request, "drafts/part.html", _view(form, typed, touched=touched, unsaved=True))
    built = Built(typed)
    tree = with_usual(_put(tree_of(opened), form.part, built), opened.crop)
    tree = well_named(tree, form.part, built, opened)
    without = _taken_out(opened, tree, form.part)
    try:
        spec = _read(without if deed == TAKE_OUT and without is not None else tree, built)
    except SpecMistakes as mistakes:
        told = sorted_out(mistakes.mistakes, built, form.part, opened, tree, f"/drafts/{draft_id}/parts")
        view = replace(_view(form, typed, told), takes_out=_takes_out(opened, without, built))
        return page(request, "drafts/part.html", view, status=422)
    try:
        change_draft(session, found, spec, version)
    except StaleError as stale:
        clash = stale if isinstance(stale, ClashError) else ClashError(Merged(tree_of(spec), tree_of(found.spec)))
        view = _clashing(request, session, form, clash, _limit_id(tree_of(spec), form.part))
        return page(request, "drafts/part.html", view, status=409)
    except DraftError as mistake:
        return draft_page(request, session, person, found, notice=str(mistake), status=422)
    return done(request, session, person, posted, f"/drafts/{draft_id}")


def _part(spec: Spec, part_id: str) -> Part:
    found = part_of(spec, part_id)
    if found is None:
        raise MissingError
    return found


def _put(tree: dict[str, Any], part: Part, built: Built) -> dict[str, Any]:
    """The whole tree with what was typed in the part's place. A size table without a band is none."""
    made = deepcopy(tree)
    if not part.place:
        entered = built.table(part.fields, tree)
        for each in part.fields:
            made.pop(each.key, None)
        return {**made, **entered}
    key, *number = part.place
    if not number:
        entered = built.table(part.fields, tree.get(str(key), {}), (key,))
        made.pop(str(key), None)
        return {**made, **({str(key): entered} if entered.get("bands") else {})}
    listed = made[str(key)]
    before = listed[number[0]] if int(number[0]) < len(listed) else {}
    listed[int(number[0]) : int(number[0]) + 1] = [built.table(part.fields, before, part.place)]
    return made


def _taken_out(spec: Spec, tree: dict[str, Any], part: Part) -> dict[str, Any] | None:
    """The tree of a form that takes out classes or sizes, in which nothing else speaks of them; None for any other."""
    key = {"classes": "class", "sizes": "bands"}.get(part.id, "")
    names = gone(tree_of(spec), tree, key) if key else frozenset()
    return taken_out(tree, key, names, spec.crop) if names else None


def _takes_out(spec: Spec, without: dict[str, Any] | None, built: Built) -> list[str]:
    """What goes from the spec along with the classes or sizes that a form takes out, in words; nothing where the rest
    would be no spec."""
    try:
        after = None if without is None else _read(without, built)
    except SpecMistakes:
        after = None
    return [] if after is None else [say_change(each.place, each.before, each.after) for each in compare(spec, after)]


def _read(tree: Mapping[str, object], built: Built) -> Spec:
    """The spec that a form makes; SpecMistakes, with none where only the form itself refuses what was typed."""
    spec = read_tree(tree, library.crops())
    if built.refused:
        raise SpecMistakes(())
    return spec


def _view(
    form: Form,
    typed: Pairs,
    told: Sorted | None = None,
    *,
    touched: str = "",
    at: str = "",
    unsaved: bool = False,
    differs: Mapping[str, str] = MappingProxyType({}),
) -> PartView:
    told = told or Sorted()
    drawing = Drawing(form.spec, typed, told.errors, touched, told.offers, at, frozenset(differs))
    drawn = boxes_of(drawing, form.part.fields)
    more = [box for box in drawn if box.field.folded]
    return PartView(
        title=form.part.title,
        draft=form.draft,
        part=form.part,
        boxes=[box for box in drawn if not box.field.folded],
        more=more,
        more_open=any(box.has_mistake or is_at(drawing, box) for box in more),
        version=form.version,
        errors=told.errors,
        labels=dict(labels_of(drawn)),
        elsewhere=told.elsewhere,
        differs={name: stored or "nothing" for name, stored in differs.items()},
        both_sides=[],
        stored_now="",
        unsaved=unsaved,
        known=known_words(form.spec, form.part.fields),
    )


def _clashing(request: Request, session: Session, form: Form, clash: ClashError, limit_id: str) -> PartView:
    """The form with what was typed and what others saved meanwhile of the rest; where both changed the same, what was
    typed, and both sides in a table above. Sent again it puts what was typed in its place. What does not hold in a spec
    of both is told where it stands."""
    session.rollback()
    found = spec_drafts.draft(session, form.draft.id)
    spec, merged = found.spec, clash.merged
    part = _part_now(spec, form.part, limit_id)
    ours, theirs = (typed_of(part.fields, _held_of_part(tree, part, limit_id)) for tree in (merged.ours, merged.theirs))
    ours = _numbered(ours, part, merged.ours, tree_of(spec))
    drawn = [boxes_of(Drawing(spec, pairs, {}), part.fields) for pairs in (theirs, ours)]
    stored, typed = (dict(values_in(boxes)) for boxes in drawn)
    labels = {**dict(labels_of(drawn[0])), **dict(labels_of(drawn[1]))}
    differs = {name: stored.get(name, "") for name in labels if stored.get(name, "") != typed.get(name, "")}
    told = _told_of(clash, ours, part, spec, f"/drafts/{found.id}/parts", limit_id)
    view = _view(Form(found, spec, part, found.row.version), ours, told, differs=differs)
    both_sides = [(labels[name], said, typed.get(name, "")) for name, said in differs.items()]
    return replace(view, both_sides=both_sides, stored_now=draft_now(request, session, found))


def _told_of(clash: ClashError, ours: Pairs, part: Part, spec: Spec, address: str, limit_id: str) -> Sorted:
    """The mistakes of a spec of both changes; what was typed stands in it where the part has its place there."""
    tree = clash.merged.ours
    if part.place[:1] == ("limit",):
        ids = [str(each["id"]) for each in limits] if isinstance(limits := tree.get("limit"), list) else []
        part = replace(part, place=("limit", ids.index(limit_id) if limit_id in ids else len(ids)))
    built = Built(ours)
    built.table(part.fields, held_of(tree, part.place), part.place)
    return sorted_out(clash.mistakes, built, part, spec, tree, address)


def _limit_id(tree: Mapping[str, Any], part: Part) -> str:
    """The id that was typed for the limit the form is about; "" where it is about none."""
    return str(held_of(tree, part.place)["id"]) if part.place[:1] == ("limit",) else ""


def _part_now(spec: Spec, part: Part, limit_id: str) -> Part:
    """The part as the draft has it now: a limit that was taken out meanwhile is a new one, and a new one that somebody
    else has begun meanwhile is that."""
    if part.place[:1] != ("limit",):
        return part
    now = part_of(spec, part.id) if part.id != NEW_LIMIT else None
    return now or part_of(spec, limit_part(limit_id)) or _part(spec, NEW_LIMIT)


def _held_of_part(tree: Mapping[str, Any], part: Part, limit_id: str) -> Mapping[str, Any]:
    """What a merged tree has in the part; a limit is looked for by the id typed, then by the one it had."""
    if part.place[:1] != ("limit",):
        return held_of(tree, part.place)
    limits: dict[str, Mapping[str, Any]] = {limit_part(each["id"]): each for each in tree.get("limit", [])}
    return limits.get(limit_part(limit_id)) or limits.get(part.id, {})


def _numbered(typed: Pairs, part: Part, merged: Mapping[str, Any], stored: Mapping[str, Any]) -> Pairs:
    """What is typed of lists that show a part of their entries only, each with its place in the stored list, where
    what is not shown is found again; without those that the stored list no longer has."""
    for each in part.fields:
        if each.keeps:
            places = {entry["id"]: str(at) for at, entry in enumerate(stored.get(each.key, []))}
            order = [places.get(entry["id"], "") for entry in merged.get(each.key, [])]
            gone = tuple(f"{each.key}-{number}-" for number, place in enumerate(order) if not place)
            was = {f"{each.key}-{number}-{WAS}": place for number, place in enumerate(order)}
            typed = [(name, was.get(name, value)) for name, value in typed if not name.startswith(gone)]
    return typed
