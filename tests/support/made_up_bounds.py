"""Strategies of the small parts of a spec: texts, sources, bounds."""

from collections.abc import Collection

from hypothesis import strategies as st

from shedgrade.domain.bound import ANY, NIL, Bound, Unit
from shedgrade.domain.source import Mark, Source

plain_texts = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), min_size=1, max_size=12).filter(
    str.strip
)
ids = st.from_regex(r"[a-z0-9]{1,4}(-[a-z0-9]{1,3})?", fullmatch=True)
own_words = st.sampled_from(["packing", "retail", "overseas", "river flats", "layers", "loose", "im gewächshaus"])
days_read = st.dates().map(str) | st.just("")


def some_of(words: Collection[str], most: int = 3) -> st.SearchStrategy[tuple[str, ...]]:
    """None or some of the words, each once."""
    if not words:
        return st.just(())
    return st.lists(st.sampled_from(list(words)), max_size=most, unique=True).map(tuple)


def one_or_more_of(words: Collection[str], most: int = 3) -> st.SearchStrategy[tuple[str, ...]]:
    """Some of the words, each once."""
    return st.lists(st.sampled_from(list(words)), min_size=1, max_size=most, unique=True).map(tuple)


whole_sources = st.builds(
    Source,
    standard=plain_texts,
    edition=plain_texts,
    section=plain_texts | st.just(""),
    mark=st.sampled_from(Mark),
    note=plain_texts | st.just(""),
    address=plain_texts | st.just(""),
    on=days_read,
)


def sources_below(above: Source) -> st.SearchStrategy[Source]:
    """What a part has for a source: mostly what it inherits."""
    return st.just(above.below()) | whole_sources


figures = st.one_of(
    st.integers(0, 9999).map(str),
    st.decimals(0, 999, places=2).map(lambda figure: f"{figure:f}"),
    st.tuples(st.integers(1, 99), st.integers(1, 99)).map(lambda pair: f"{pair[0]}/{pair[1]}"),
)
hundredths = st.decimals(0, 100, places=2).map(lambda figure: f"{figure:f}") | st.just("33 1/3")
parts_of_one = st.decimals(0, 1, places=3).map(lambda figure: f"{figure:f}") | st.just("1/3")
_signs = st.sampled_from(["<=", "<", ">=", ">"])
_circles = st.integers(1, 400).map(lambda tenths: f"circles of {tenths / 10} mm")


@st.composite
def bounds(draw: st.DrawFn, units: Collection[Unit]) -> Bound:
    """A bound in one of the units, with one end or two, or "nil" or "any"; of a share in %, no more than the whole."""
    if draw(st.integers(0, 9)) == 0:
        return draw(st.sampled_from([NIL, ANY]))
    unit = draw(st.sampled_from(list(units)))
    written = draw(_circles) if unit is Unit.CIRCLES else unit
    share = next(iter(units)) is Unit.PERCENT
    some = (hundredths if unit is Unit.PERCENT else parts_of_one) if share else figures
    ends = draw(st.lists(st.tuples(_signs, some), min_size=1, max_size=2))
    try:
        return Bound.parse(" and ".join(f"{sign} {figure} {written}" for sign, figure in ends))
    except ValueError:
        return Bound.parse(f">= {ends[0][1]} {written}")
