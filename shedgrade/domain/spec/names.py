"""What people call the things that a spec speaks of, and several of them in a row."""

from collections.abc import Sequence

from shedgrade.domain.spec.measure import OWN_WORDS
from shedgrade.domain.spec.model import Spec


def listed(words: Sequence[str], last: str = "and") -> str:
    """Words in a row: "sap stain, rub and sunburn"."""
    return f" {last} ".join([*([", ".join(words[:-1])] if len(words) > 1 else []), *words[-1:]])


def named(spec: Spec, name: str) -> str:
    """The word for a kind or measure of the crop, a severity or a limit of the spec; the name itself for all else."""
    if name in OWN_WORDS:
        return name
    names = {each.id: each.name for each in spec.limits} | {each.id: each.name for each in spec.severities}
    names |= {each.id: each.name for each in spec.crop.kinds} | {each.id: each.name for each in spec.crop.measures}
    return names.get(name, name)
