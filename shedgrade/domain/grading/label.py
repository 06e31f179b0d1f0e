"""Whether a fruit has the size that stands on the label."""

from shedgrade.domain.grading.takes import Sizes
from shedgrade.domain.grading.told import Told
from shedgrade.domain.spec.model import Spec


def has_size(spec: Spec, sizes: Sizes, code: str | None) -> Told:
    """Whether a fruit of these sizes has the code on the label; without a code on it, whether it has any size.

    None when what the size goes by was not taken. A spec without a size table asks for no size: True.
    """
    if not spec.scale.bands:
        return True
    has = bool(sizes.codes) if code is None else code in sizes.codes
    return None if sizes.missing and not has else has


def is_next_size(spec: Spec, sizes: Sizes, code: str, variety: str | None) -> Told:
    """Whether a fruit of these sizes has the code on the label, or the next one up or down; None when what the size
    goes by was not taken."""
    has = not set(spec.scale.beside(code, variety)).isdisjoint(sizes.codes)
    return None if sizes.missing and not has else has
