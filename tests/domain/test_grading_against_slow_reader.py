"""The grader agrees with a spec read the slow way, for made-up specs, fruit and loads."""

import pytest
from hypothesis import given, settings

from shedgrade.domain.grading.facts import Fruit, Load
from shedgrade.domain.grading.holding import Answer, hold
from shedgrade.domain.grading.one import grade
from shedgrade.domain.spec.measure import Measure, Take
from shedgrade.domain.spec.model import Spec
from tests.support import slow_reader
from tests.support.made_up import few, fruit, loads, specs
from tests.support.slow_reader import SlowReader

_SAID = {
    Answer.HOLDS: slow_reader.HOLDS,
    Answer.BROKEN: slow_reader.BROKEN,
    Answer.NOT_JUDGED: slow_reader.UNSURE,
    Answer.NO_RULE: slow_reader.NO_RULE,
}


@few
@given(specs(), fruit(), loads())
def test_class_codes_reasons_and_what_was_not_judged(spec: Spec, fruit: Fruit, load: Load) -> None:
    agree(spec, fruit, load)


@pytest.mark.long
@settings(max_examples=2000, deadline=None)
@given(specs(), fruit(), loads())
def test_many_more(spec: Spec, fruit: Fruit, load: Load) -> None:
    agree(spec, fruit, load)


def agree(spec: Spec, fruit: Fruit, load: Load) -> None:
    """Both readers say the same of a fruit."""
    verdict = grade(spec, fruit, load=load)
    (codes, _), _ = slow_reader.size_codes(spec, fruit, load)
    assert verdict.codes == codes
    readers = {code: SlowReader(spec, fruit, load, code) for code in codes or (None,)}
    by_code = {code: reader.class_id() for code, reader in readers.items()}
    ranks = {each.id: place for place, each in enumerate(spec.classes)}
    best = min(by_code, key=lambda code: ranks.get(by_code[code] or "", len(ranks)))
    assert verdict.class_id == by_code[best]
    assert verdict.judged_as == best
    assert verdict.by_code == tuple((code, by_code[code]) for code in codes)
    reader = readers[best]
    missed = [each.id for each in spec.classes if ranks[each.id] < ranks.get(verdict.class_id or "", len(ranks))]
    broken = [(class_id, limit) for class_id in missed for limit in reader.of_class(class_id, slow_reader.BROKEN)]
    assert [(reason.class_id, reason.limit_id) for reason in verdict.reasons] == broken
    unsure = [] if verdict.class_id is None else reader.of_class(verdict.class_id, slow_reader.UNSURE)
    assert [limit.limit_id for limit in verdict.not_judged] == unsure


@few
@given(specs(), fruit(), loads())
def test_each_limit_by_itself_and_the_severity(spec: Spec, fruit: Fruit, load: Load) -> None:
    for code in ("small", "large"):
        reader = SlowReader(spec, fruit, load, code)
        for limit in spec.limits:
            for each in spec.classes:
                held = hold(spec, limit, fruit, each.id, code, load)
                assert _SAID[held.answer] == reader.limit(limit, each.id)
                assert (held.reason is not None) == (held.answer is Answer.BROKEN)
                assert (held.not_judged is not None) == (held.answer is Answer.NOT_JUDGED)
    low, high, _ = SlowReader(spec, fruit, load, None).figure(Measure((spec.severities[0].id,), Take.SEVERITY))
    ((_, number, name),) = grade(spec, fruit, load=load).severities
    assert number == (low if low == high else None)
    assert name == (f"step {number}" if number else "")


@few
@given(specs(), fruit(), loads())
def test_whatever_is_said_reads_as_words_and_names_what_was_not_taken(spec: Spec, fruit: Fruit, load: Load) -> None:
    verdict = grade(spec, fruit, load=load)
    assert verdict.says(spec)
    for reason in verdict.reasons:
        assert reason.says(spec).startswith("Not Class ")
    for limit in verdict.not_judged:
        assert limit.missing
        assert all(limit.words(spec))
    assert all(words.startswith("how bad: ") for words in verdict.severity_words(spec))
