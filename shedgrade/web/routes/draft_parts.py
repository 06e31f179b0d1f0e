"""Editing a draft part by part: every part's form is drawn from one description of its fields and saved as a whole."""

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass, replace
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions.spec_drafts import DraftError, change_draft
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.own import as_own
from shedgrade.domain.spec.text import SpecMistakes, read_tree, tree_of
from shedgrade.storage import spec_drafts
from shedgrade.storage.missing import MissingError
from shedgrade.storage.spec_drafts import DraftWhole
from shedgrade.storage.stale import StaleError
from shedgrade.web.answers import Answers
from shedgrade.web.draft_fields import FIELD_NAMES, Part, part_of
from shedgrade.web.draft_page import draft_now, draft_page
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.part_form import Built, Pairs, after_deed, held_of, typed_of
from shedgrade.web.part_mistakes import Elsewhere, Sorted, sorted_out
from shedgrade.web.part_names import well_named
from shedgrade.web.part_view import Box, Drawing, boxes_of, is_at, known_words, labels_of, values_in
from shedgrade.web.state import CurrentPosted, ReadSession
from shedgrade.web.whoami import SpecKeeper

router = APIRouter(prefix="/drafts/{draft_id}/parts")


@dataclass(frozen=True, slots=True)
class PartView:
    """The form of one part. ``elsewhere`` are mistakes that it would make in other parts, ``differs`` what is stored
    and what is typed where somebody saved meanwhile, ``unsaved`` whether a button has changed the form only. ``known``
    are lists of words that may be typed, by their ids."""

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
    differs: list[tuple[str, str, str]]
    stored_now: str
    unsaved: bool
    known: Mapping[str, list[str]]


@router.get("/{part}")
def edit(
    request: Request, _person: SpecKeeper, session: ReadSession, draft_id: RowId, part: str, at: str = ""
) -> HTMLResponse:
    """A part's form as it is stored, open where the field ``at`` stands."""
    found = spec_drafts.draft(session, draft_id)
    shown = _part(found.spec, part)
    if not found.is_open:
        raise MissingError
    return page(
        request, "drafts/part.html", _view(found, shown, typed_of(shown.fields, _stored(found.spec, shown)), at=at)
    )


@router.post("/{part}", openapi_extra=publishes("version", "do", *FIELD_NAMES))
def save(
    request: Request, person: SpecKeeper, session: FormSession, posted: CurrentPosted, draft_id: RowId, part: str
) -> Response:
    """Change the form by one of its buttons, or save the part if the whole spec holds with it."""
    found = spec_drafts.draft(session, draft_id)
    shown = _part(found.spec, part)
    answers, deed = Answers(posted), posted.get("do", "")
    typed = list(posted.fields)
    if deed:
        typed, touched = after_deed(typed, deed)
        return page(request, "drafts/part.html", _view(found, shown, typed, version=answers.version(), touched=touched))
    built = Built(typed)
    tree = well_named(_put(tree_of(found.spec), shown, built), shown, built, found.spec)
    try:
        spec = _read(tree, built)
    except SpecMistakes as mistakes:
        told = sorted_out(mistakes.mistakes, built, shown, found.spec, tree, f"/drafts/{draft_id}/parts")
        view = _view(found, shown, typed, told, version=answers.version())
        return page(request, "drafts/part.html", view, status=422)
    try:
        change_draft(session, found, spec, answers.version())
    except StaleError:
        return page(request, "drafts/part.html", _stale(request, session, draft_id, shown, typed, spec), status=409)
    except DraftError as mistake:
        return draft_page(request, session, person, found, notice=str(mistake), status=422)
    return done(request, session, person, posted, f"/drafts/{draft_id}")


def _part(spec: Spec, part_id: str) -> Part:
    found = part_of(spec, part_id)
    if found is None:
        raise MissingError
    return found


def _stored(spec: Spec, part: Part) -> Mapping[str, Any]:
    """The part of the tree that the form is about; nothing for a new entry."""
    return held_of(tree_of(spec), part.place)


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


def _read(tree: Mapping[str, object], built: Built) -> Spec:
    """The spec that a form makes; SpecMistakes, with none where only the form itself refuses what was typed."""
    spec = read_tree(tree, library.crops())
    if built.refused:
        raise SpecMistakes(())
    return spec


def _view(
    found: DraftWhole,
    part: Part,
    typed: Pairs,
    told: Sorted | None = None,
    *,
    version: int = 0,
    touched: str = "",
    at: str = "",
) -> PartView:
    told = told or Sorted()
    drawing = Drawing(found.spec, typed, told.errors, touched, told.offers, at)
    drawn = boxes_of(drawing, part.fields)
    more = [box for box in drawn if box.field.folded]
    return PartView(
        title=part.title,
        draft=found,
        part=part,
        boxes=[box for box in drawn if not box.field.folded],
        more=more,
        more_open=any(box.has_mistake or is_at(drawing, box) for box in more),
        version=version or found.row.version,
        errors=told.errors,
        labels=dict(labels_of(drawn)),
        elsewhere=told.elsewhere,
        differs=[],
        stored_now="",
        unsaved=bool(version) and not told.errors and not told.elsewhere,
        known=known_words(found.spec, part.fields),
    )


def _stale(request: Request, session: Session, draft_id: int, part: Part, typed: Pairs, spec: Spec) -> PartView:
    """The form as typed, with what somebody else stored meanwhile beside it, field by field; ``spec`` is what the form
    would make of the draft."""
    session.rollback()
    found = spec_drafts.draft(session, draft_id)
    sides = [typed_of(part.fields, _stored(each, part)) for each in (found.spec, as_own(found.spec, spec))]
    drawn = [boxes_of(Drawing(found.spec, pairs, {}), part.fields) for pairs in sides]
    held, ours = (dict(values_in(boxes)) for boxes in drawn)
    labels = {**dict(labels_of(drawn[0])), **dict(labels_of(drawn[1]))}
    differs = [
        (labels[name], held.get(name, ""), ours.get(name, ""))
        for name in labels
        if held.get(name, "") != ours.get(name, "")
    ]
    view = replace(_view(found, part, typed), differs=differs)
    return replace(view, stored_now=draft_now(request, session, found))
