"""Varieties in a spec file: those of the crop file and others too, but no near miss of one that the crop file has."""

from difflib import get_close_matches

from shedgrade.domain.spec.known import Known
from shedgrade.domain.spec.mistakes import Wrong
from shedgrade.domain.spec.reading import Table

_SLIP = 0.85  # "Kensignton Pride" is a slip of the hand; "Kent" beside "Keitt" is another mango


def read_varieties(table: Table, known: Known) -> tuple[str, ...]:
    """The varieties that a row or a band is for; may be left out."""
    names = table.words("variety", required=False)
    varieties = known.crop.varieties if known.crop else ()
    plain = {variety.casefold(): variety for variety in varieties}
    for name in names:
        near = [] if name in varieties else get_close_matches(name.casefold()[:80], plain, n=1, cutoff=_SLIP)
        if near:
            table.note("variety", f'"{name}"', f'did you mean "{plain[near[0]]}"?', Wrong.SLIP)
    return names
