"""Whose figure a changed one is: the shed's own, unless whoever changed it says where it was read."""

from dataclasses import replace

from shedgrade.domain.source import Mark, Source
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.renaming import called_as
from shedgrade.domain.spec.text import SpecMistakes, read_tree, tree_of
from shedgrade.domain.spec.values import Value, values_of, with_sources


def as_own(before: Spec, after: Spec) -> Spec:
    """The changed spec, in which a figure that is new or another than before, and for which no source of its own was
    given, stands as the shed's own: a text must not be named for a number that it does not hold. Its note stays, which
    says what counts. A figure is the same whatever its class, size or limit is called now."""
    known = {value.place: value for value in values_of(_called_as(before, after))}
    inherited = {after.source.below()} | {limit.source.below() for limit in after.limits}
    inherited |= {after.scale.source.below()} | {each.source.below() for each in after.tolerances}
    own = Source(after.title, after.edition, "", Mark.OUR_OWN)

    def told(value: Value) -> Source:
        old = known.get(value.place)
        if old is not None and old.to == value.to:
            return value.source
        bare = replace(value.source, note="")
        untouched = bare in inherited or (old is not None and bare == replace(old.source, note=""))
        return replace(own, note=value.source.note) if untouched else value.source

    return with_sources(after, told)


def _called_as(before: Spec, after: Spec) -> Spec:
    """The spec before with the names of the spec after; as it was, where it cannot be called so."""
    tree = called_as(tree_of(before), tree_of(after), after.crop)
    try:
        return read_tree(tree, {before.crop.id: before.crop})
    except SpecMistakes:
        return before
