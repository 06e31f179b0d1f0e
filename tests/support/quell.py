"""Specs of the invented crop written for one test: the limits given, with as little around them as can be."""

from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import read_crop, read_spec
from tests.support.whole_spec import QUELL_CROP

CROP = read_crop(QUELL_CROP)

_HEAD = """\
id = "quell-test"
title = "Invented"
crop = "quell"
edition = "1"

[source]
standard = "invented"
edition = "1"
mark = "our reading"

[[class]]
id = "I"
name = "Class I"

[[class]]
id = "II"
name = "Class II"
"""

_TAIL = """
[[outlet]]
id = "juice"
name = "Juice"
packed = false
takes = ["no class"]
"""


def quell(limits: str, scale: str = "") -> Spec:
    """A spec of two classes with these limits, and severities before them; ``scale`` is the text of its table."""
    return read_spec(f"{_HEAD}\n{scale}\n{limits}\n{_TAIL}", {CROP.id: CROP})


def limit(text: str, name: str = "it") -> str:
    """One limit called ``name``."""
    return f'[[limit]]\nid = "{name.replace(" ", "-")}"\nname = "{name}"\n{text}\n'


def plain(text: str) -> str:
    """With plain spaces in place of narrow ones."""
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ")
