"""Any spec at all can be written and read back, and no tree or text gives anything but a spec or located mistakes."""

import pickle
import tomllib
from collections.abc import Callable
from dataclasses import fields
from datetime import date
from typing import TypeVar

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import Mistake, SpecMistakes, dump, read_crop, read_spec, read_tree, tree_of, write_spec
from tests.support.made_up_specs import specs
from tests.support.whole_spec import EVERYTHING, QUELL, QUELL_CROP, QUELL_SPEC

Read = TypeVar("Read")
CROPS = {QUELL.id: QUELL}
slow = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def tried(read: Callable[[], Read]) -> tuple[Read | None, tuple[Mistake, ...]]:
    """What was read, or the mistakes; any other error is one of the reader's own."""
    try:
        return read(), ()
    except SpecMistakes as found:
        return None, found.mistakes


@slow
@given(specs())
def test_any_spec_is_written_and_read_back(spec: Spec) -> None:
    text, tree = write_spec(spec), tree_of(spec)
    assert read_spec(text, CROPS) == spec
    assert read_tree(tree, CROPS) == spec
    assert tomllib.loads(text) == tree
    assert dump(tomllib.loads(text)) == text
    assert pickle.loads(pickle.dumps(spec)) == spec  # noqa: S301 - our own value


def test_the_spec_of_the_tests_uses_every_part() -> None:
    """So that what is tried on it is tried on the whole language."""
    assert all(getattr(EVERYTHING, field.name) for field in fields(Spec))


LINES = QUELL_SPEC.splitlines()
CROP_LINES = QUELL_CROP.splitlines()
JUNK = [
    *('""', '" "', "0", "-1", "true", "1.5", "nan", "1979-05-27", "[]", "{}", "[[]]", '[""]', '[1, "a"]'),
    *('"\\u0000"', '"""\nlines\n"""', '"rot"', '["rot", "rot"]', '"<= 4 cm2"', '"any"', "[{ to = 1 }]", "[{}]"),
    *('"I"', '"A"', "2", '"12-01 to 02-30"', "{ weight = 4 }", '{ "" = "any" }', '"<= 1/0 circles of 0 mm"'),
    *('"value"', '"sum"', '"spread"', '"ratio"', '"severity"', '"codes"', '"places"', '"largest"', '"package"'),
    *('["brix", "width"]', '"weight"', '"colour stage"', "1e400", "99999999999999999999", '["\U0001f96d"]'),
]


@st.composite
def spoiled(draw: st.DrawFn, whole: list[str]) -> str:
    """A file with some of its lines lost, doubled, moved or filled with something else."""
    lines = list(whole)
    for _ in range(draw(st.integers(1, 3))):
        place, other = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
        key, junk = lines[place].split(" = ")[0], draw(st.sampled_from(JUNK))
        lines[place] = draw(
            st.sampled_from([f"{key} = {junk}", junk, f"{lines[place]}\n{lines[place]}", "", lines[other]])
        )
    return "\n".join(lines)


@given(spoiled(LINES))
@settings(deadline=None)
def test_a_spoiled_spec_file_gives_a_spec_or_located_mistakes(text: str) -> None:
    spec, mistakes = tried(lambda: read_spec(text, CROPS))
    assert spec is not None or mistakes
    assert all(1 <= each.line <= text.count("\n") + 1 for each in mistakes)
    assert all(each.found and each.accepted and each.says() for each in mistakes)
    assert spec is None or read_spec(write_spec(spec), CROPS) == spec


@given(spoiled(CROP_LINES))
@settings(deadline=None)
def test_a_spoiled_crop_file_gives_a_crop_or_located_mistakes(text: str) -> None:
    crop, mistakes = tried(lambda: read_crop(text))
    assert crop is not None or mistakes
    assert all(1 <= each.line <= text.count("\n") + 1 for each in mistakes)


@given(st.text(max_size=300))
def test_no_text_gives_anything_but_mistakes(text: str) -> None:
    assert tried(lambda: read_crop(text))[1]
    assert tried(lambda: read_spec(text, CROPS))[1]


KEYS = st.sampled_from(
    [
        *("id", "title", "crop", "edition", "notes", "source", "class", "scale", "severity", "limit", "set", "of"),
        *("tolerance", "outlet", "name", "take", "by", "rows", "to", "bands", "or_else", "when", "within", "steps"),
    ]
)
leaves = st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=5), st.just(date.min))
leaves |= st.sampled_from(["quell", "weight", "sum", "value", "spread", "any", "nil", "<= 10 %", "I", "no class"])
values = st.recursive(
    leaves,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS | st.text(max_size=3), inner, max_size=4),
    max_leaves=15,
)


@given(st.dictionaries(KEYS, values, max_size=8))
def test_a_made_up_tree_gives_nothing_but_mistakes_with_their_place(tree: dict[str, object]) -> None:
    _, mistakes = tried(lambda: read_tree(tree, CROPS))
    assert mistakes
    assert all(each.place and each.line == 0 and each.says() for each in mistakes)


@given(st.data())
@settings(deadline=None)
def test_a_tree_with_one_value_changed_gives_a_spec_or_mistakes(data: st.DataObject) -> None:
    tree = tree_of(EVERYTHING)
    node: object = tree
    while True:
        keys = list(node) if isinstance(node, dict) else list(range(len(node))) if isinstance(node, list) else []
        key = data.draw(st.sampled_from(keys))
        inner = node[key]  # type: ignore[index]
        if not isinstance(inner, dict | list) or not inner or data.draw(st.booleans()):
            node[key] = data.draw(values)  # type: ignore[index]
            break
        node = inner
    spec, mistakes = tried(lambda: read_tree(tree, CROPS))
    assert spec is not None or mistakes
    assert all(each.place and each.line == 0 and each.says() for each in mistakes)
    assert spec is None or read_tree(tree_of(spec), CROPS) == spec
