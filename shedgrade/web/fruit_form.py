"""The fields of a fruit as the bench's form sends them, at once or out of a tablet's keeping."""

from collections.abc import Iterable

from shedgrade.domain.fruit_entry import FruitMistakes, Typed
from shedgrade.domain.spec.model import Spec
from shedgrade.web.bench_view import MARK, SEEN, STATE, TAKEN
from shedgrade.web.posted import Posted


def typed_fruit(posted: Posted) -> Typed:
    """What was typed of the fruit."""
    typed = dict(posted.fields)
    return Typed(
        weight=typed.get("weight", ""),
        stage=typed.get("stage", ""),
        size_code=typed.get("size_code", ""),
        marks={name.removeprefix(MARK): text for name, text in typed.items() if name.startswith(MARK)},
        ticked=posted.every(SEEN),
        states=_states(posted.every(STATE)),
        measures={name.removeprefix(TAKEN): text for name, text in typed.items() if name.startswith(TAKEN)},
    )


def by_form_field(mistakes: FruitMistakes, spec: Spec) -> dict[str, str]:
    """What is wrong with the fruit, by the names of the form's fields."""
    own = {"weight", "stage", "size_code"}
    taken = {measure.id for measure in spec.crop.measures}
    return {
        name if name in own else (TAKEN if name in taken else MARK) + name: words
        for name, words in mistakes.by_field.items()
    }


def _states(ticked: Iterable[str]) -> dict[str, list[str]]:
    """The states ticked, by kind."""
    found: dict[str, list[str]] = {}
    for each in ticked:
        kind, _, state = each.partition(":")
        found.setdefault(kind, []).append(state)
    return found
