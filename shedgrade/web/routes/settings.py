"""The shed's rules: what holds today, what is coming, what held before, and setting the next value."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions.settings import DayPastError, RuleFacts, Setter, set_rule
from shedgrade.domain import entry
from shedgrade.domain.settings import KEEPING_YEARS, RULES, SHED_NAME, AnyRule
from shedgrade.storage import settings
from shedgrade.storage.missing import MissingError
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import SettingRow
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page, say_day
from shedgrade.web.rule_lines import RuleView, rule_view
from shedgrade.web.second_look import SecondLook
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession, Shed
from shedgrade.web.stored_now import differing, stored_now
from shedgrade.web.whoami import SettingKeeper

router = APIRouter(prefix="/settings")


@dataclass(frozen=True, slots=True)
class SettingsView:
    """Every rule of the shed, and until when a record written today is kept at least."""

    title: str
    kept_until: date
    rules: list[RuleView]


@dataclass(frozen=True, slots=True)
class RuleFormView:
    """The form for a rule's next value. ``asked`` are fields that want a second look, ``carried`` what the form
    holds of it."""

    title: str
    rule: AnyRule
    now: str
    typed: Mapping[str, str]
    version: int
    errors: Mapping[str, str] = field(default_factory=dict)
    stored_now: str = ""
    differs: Mapping[str, str] = field(default_factory=dict)
    asked: Mapping[str, str] = field(default_factory=dict)
    carried: Mapping[str, str] = field(default_factory=dict)


@router.get("")
def listed(request: Request, _person: SettingKeeper, session: ReadSession, shed: CurrentShed) -> HTMLResponse:
    """All rules."""
    today = shed.clock.today()
    kept_until = settings.kept_until(session, shed.clock.local(shed.clock.now()))
    rules = [rule_view(session, rule, today) for rule in _rules(shed).values()]
    return page(request, "settings/list.html", SettingsView("Settings", kept_until, rules))


@router.get("/{key}/new")
def new(request: Request, _person: SettingKeeper, session: ReadSession, shed: CurrentShed, key: str) -> HTMLResponse:
    """The form for a rule's next value, from today on unless another day is typed."""
    typed = {"valid_from": f"{shed.clock.today():%Y-%m-%d}"}
    return page(request, "settings/form.html", _form(session, shed, _rule(shed, key), typed))


@router.post("/{key}", openapi_extra=publishes("value", "valid_from", "source", "version", "seen-*"))
def add(
    request: Request, person: SettingKeeper, session: FormSession, shed: CurrentShed, posted: CurrentPosted, key: str
) -> Response:
    """Keep a rule's value from a day on."""
    rule = _rule(shed, key)
    answers, look = Answers(posted), SecondLook(posted)
    facts = _facts(rule, answers)
    stale = False
    if facts is not None and settings.version_of(session, rule) == answers.version():
        _doubt_fewer_years(look, session, rule, facts)
    if facts is not None and not look.asked:
        try:
            by = Setter(person.id, shed.clock.now(), shed.clock.today())
            set_rule(session, rule, facts, answers.version(), by)
            return done(request, session, person, posted, "/settings?done=setting")
        except DayPastError as mistake:
            answers.refuse("valid_from", str(mistake))
        except StaleError:
            stale = True
    form = replace(_form(session, shed, rule, posted), asked=look.asked, carried=look.carried)
    return _refused(request, session, form, answers, stale=stale)


def _rules(shed: Shed) -> dict[str, AnyRule]:
    return RULES | {SHED_NAME.key: shed.started_with(SHED_NAME)}


def _rule(shed: Shed, key: str) -> AnyRule:
    if key not in RULES:
        raise MissingError
    return _rules(shed)[key]


def _facts(rule: AnyRule, answers: Answers) -> RuleFacts | None:
    parse: Callable[[str], int | str] = rule.parse
    value = answers.read("value", parse)
    begins = answers.read("valid_from", entry.date)
    source = answers.text("source", longest=300)
    if not answers.fine or value is None or begins is None:
        return None
    return RuleFacts(value, begins, source)


def _doubt_fewer_years(look: SecondLook, session: Session, rule: AnyRule, facts: RuleFacts) -> None:
    """Records gone too early cannot be had back, so fewer years are asked about once."""
    if rule is not KEEPING_YEARS or not isinstance(facts.value, int):
        return
    before = settings.in_force(session, KEEPING_YEARS, facts.valid_from)
    if facts.value < before:
        look.ask(
            "value",
            str(facts.value),
            f"That is fewer than the {KEEPING_YEARS.say(before)} that held so far. What is written from "
            f"{say_day(facts.valid_from)} on could be deleted after {KEEPING_YEARS.say(facts.value)}; what was written "
            "before keeps its longer time. The longest time that any law, tax office or buyer's rule asks of you "
            "decides: look it up first.",
        )


def _form(session: Session, shed: Shed, rule: AnyRule, typed: Mapping[str, str]) -> RuleFormView:
    now = rule_view(session, rule, shed.clock.today()).in_force.said
    return RuleFormView(rule.name, rule, now, typed, settings.version_of(session, rule))


def _refused(request: Request, session: Session, form: RuleFormView, answers: Answers, *, stale: bool) -> Response:
    """The form again. Only where it shows what somebody else stored meanwhile may it be sent in that one's place."""
    if stale:
        view = replace(
            form,
            stored_now=_stored_now(request, session, form.rule),
            differs=_differing(session, form.rule, form.typed),
        )
    else:
        view = replace(form, errors=answers.errors, version=answers.version())
    return page(request, "settings/form.html", view, status=409 if stale else 422)


def _last(session: Session, rule: AnyRule) -> SettingRow | None:
    """What was stored last; None where the form came with a version that no rule has been at."""
    return max((value.row for value in settings.values_of(session, rule)), key=lambda row: row.id or 0, default=None)


def _differing(session: Session, rule: AnyRule, typed: Mapping[str, str]) -> dict[str, str]:
    last = _last(session, rule)
    if last is None:
        return {}
    stored = {"value": last.value, "valid_from": f"{last.valid_from}", "source": last.source}
    return differing(typed, stored, {"value": rule.say_stored(last.value), "valid_from": say_day(last.valid_from)})


def _stored_now(request: Request, session: Session, rule: AnyRule) -> str:
    last = _last(session, rule)
    if last is None:
        return rule.say_default()
    stored = f"{rule.say_stored(last.value)} from {say_day(last.valid_from)}"
    return stored_now(request, session, "setting", last.id or 0, stored)
