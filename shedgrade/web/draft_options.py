"""What the fields of a draft's forms offer to choose from, each with the words a person reads."""

from shedgrade.domain.spec import library
from shedgrade.domain.spec.asked import asked
from shedgrade.domain.spec.limit import Level
from shedgrade.domain.spec.measure import OWN_WORDS
from shedgrade.domain.spec.model import NO_CLASS, TOO_HEAVY, TOO_LIGHT, Spec
from shedgrade.storage.loads import STAGE


def classes(spec: Spec) -> list[tuple[str, str]]:
    """Its classes."""
    return [(each.id, each.name) for each in spec.classes]


def row_words(spec: Spec) -> list[tuple[str, str]]:
    """What a row may name besides its classes."""
    return [("Sizes", ", ".join(sizes(spec)) or "none")]


def limits(spec: Spec) -> list[tuple[str, str]]:
    """Its limits."""
    return [(each.id, each.name) for each in spec.limits]


def sets(spec: Spec) -> list[tuple[str, str]]:
    """Its sets of fruit."""
    return [(each.id, each.name) for each in spec.sets]


def kinds(spec: Spec) -> list[tuple[str, str]]:
    """The faults of its fruit."""
    return [(each.id, each.name) for each in spec.crop.kinds]


def measures(spec: Spec) -> list[tuple[str, str]]:
    """The measures of its fruit."""
    return [(each.id, each.name) for each in spec.crop.measures]


def measurable(spec: Spec) -> list[tuple[str, str]]:
    """Whatever a limit may look at."""
    own = [(word, word) for word in OWN_WORDS]
    return [*kinds(spec), *own, *measures(spec), *((each.id, each.name) for each in spec.severities)]


def looked_up(spec: Spec) -> list[tuple[str, str]]:
    """What a size table may go by."""
    return [("weight", "weight"), *measures(spec)]


def cases(spec: Spec) -> list[tuple[str, str]]:
    """What an outlet may take."""
    broken = [(each.id, f"broke the limit of {each.name}") for each in spec.limits if each.level is Level.FRUIT]
    rest = [(TOO_LIGHT, "too small for the tray"), (TOO_HEAVY, "too big for the tray"), (NO_CLASS, "makes no class")]
    return [*rest, *broken]


def switches(spec: Spec) -> list[tuple[str, str]]:
    """What a row may be switched by."""
    figures = [("weight", "weight"), ("colour stage", "colour stage"), *measures(spec)]
    return [*figures, *((each.id, f"what the limit of {each.name} looks at") for each in spec.limits)]


def sizes(spec: Spec) -> list[str]:
    """Its sizes."""
    return list(spec.scale.names)


def varieties(spec: Spec) -> list[str]:
    """The varieties of its fruit, and those it names itself."""
    rows = [row.varieties for limit in spec.limits for way in limit.ways for row in way.rows]
    named = [spec.crop.varieties, *rows, *(band.varieties for band in spec.scale.bands)]
    return list(dict.fromkeys(word for words in named for word in words))


def states(spec: Spec) -> list[str]:
    """What a mark can be beside its size."""
    return list(dict.fromkeys(state for kind in spec.crop.kinds for state in kind.states))


def stages(spec: Spec) -> list[str]:
    """The stages of marketing that any spec knows."""
    return list(dict.fromkeys([STAGE, *(word for each in _known(spec) for word in asked(each).stages)]))


def destinations(spec: Spec) -> list[str]:
    """Where fruit goes, as far as any spec makes a difference by it."""
    return list(dict.fromkeys(word for each in _known(spec) for word in asked(each).destinations))


def grown_in(spec: Spec) -> list[str]:
    """Where fruit grew, as far as any spec makes a difference by it."""
    return list(dict.fromkeys(word for each in _known(spec) for word in asked(each).grown_in))


def presentations(spec: Spec) -> list[str]:
    """How fruit is presented, as far as any spec makes a difference by it."""
    return list(dict.fromkeys(word for each in _known(spec) for word in asked(each).presentations))


def _known(spec: Spec) -> list[Spec]:
    return [spec, *library.standards().values()]
