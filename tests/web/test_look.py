"""The rules of the look that a machine can watch: colours, contrast, drawings, nothing the content policy blocks."""

import hashlib
import re
from itertools import chain
from pathlib import Path

import pytest

from shedgrade.paths import STATIC, TEMPLATES

SHEETS = sorted((STATIC / "css").glob("*.css"))
PAGES = sorted(TEMPLATES.rglob("*.html"))
TOKENS = (STATIC / "css" / "tokens.css").read_text()

COLOUR = r"#[0-9a-fA-F]{3,8}\b|\b(?:rgb|hsl|oklch|color)a?\(|:\s*(?:black|white|red|green|blue)\b"

# The sum published with the package htmx.org 4.0.1, file dist/htmx.min.js.
HTMX = "a0abb04f2f45a1f89d1d4844023245537e5e6014c87b144553e0607b4cc32130"


def _named(path: Path) -> str:
    return path.name


def _tags(text: str) -> list[str]:
    return re.findall(r"<[a-z][a-z0-9]*\b[^>]*>", re.sub(r"\{#.*?#\}", "", text, flags=re.DOTALL))


def _token(name: str) -> str:
    found = re.search(rf"--{name}: (?:var\(--([\w-]+)\)|(#[0-9a-f]{{6}}));", TOKENS)
    assert found, name
    return found[2] or _token(found[1])


def _luminance(colour: str) -> float:
    """Relative luminance: WCAG 2.2, Definitions, "relative luminance"."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _contrast(one: str, other: str) -> float:
    """Contrast ratio: WCAG 2.2, Definitions, "contrast ratio"; black on white is 21."""
    dark, light = sorted((_luminance(one), _luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_black_on_white_is_twenty_one_to_one() -> None:
    assert _contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize(
    ("ink", "ground", "least"),
    [
        ("ink", "paper", 7),  # WCAG 2.2, 1.4.6 (AAA): figures are read in glare
        ("ink", "chosen", 7),
        ("on-act", "act", 7),
        ("on-stop", "stop", 7),
        ("soft-ink", "paper", 4.5),  # WCAG 2.2, 1.4.3 (AA)
        ("stop", "paper", 4.5),
        ("focus", "paper", 3),  # WCAG 2.2, 1.4.11: signs that are not text
        ("good", "paper", 3),
        ("watch", "paper", 3),
    ],
)
def test_ink_stands_out_from_its_ground(ink: str, ground: str, least: float) -> None:
    assert _contrast(_token(ink), _token(ground)) >= least


@pytest.mark.parametrize("sheet", [sheet for sheet in SHEETS if sheet.name != "tokens.css"], ids=_named)
def test_a_sheet_names_no_colour_of_its_own(sheet: Path) -> None:
    rules = re.sub(r"/\*.*?\*/|url\([^)]*\)", "", sheet.read_text(), flags=re.DOTALL)
    assert not re.findall(COLOUR, rules)


@pytest.mark.parametrize("sheet", SHEETS, ids=_named)
def test_every_file_and_token_a_sheet_names_is_there(sheet: Path) -> None:
    text = sheet.read_text()
    files = [name for name in re.findall(r'url\("([^"]+)"\)', text) if not name.startswith("#")]
    assert [name for name in files if not (sheet.parent / name).is_file()] == []
    assert [name for name in re.findall(r"var\(--([\w-]+)\)", text) if f"--{name}:" not in TOKENS + text] == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(TEMPLATES)))
def test_a_template_holds_nothing_the_content_policy_blocks(page: Path) -> None:
    text = page.read_text()
    for tag in _tags(text):
        assert not re.search(r"\s(?:style|on[a-z]+|hx-on[\w:.-]*)\s*=", tag), tag
        assert not re.search(r"""\bjs:|hx-trigger=["'][^"']*\[""", tag), tag
    assert not re.search(r"<style\b|<script\b(?![^>]*\bsrc=)", text)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(TEMPLATES)))
def test_htmx_words_stand_on_the_element_that_asks(page: Path) -> None:
    """In htmx 4 nothing is inherited without ``:inherited``, so a target on a mere container does nothing."""
    for tag in _tags(page.read_text()):
        if re.search(r"\shx-(?:target|swap|headers|vals)=", tag):
            assert re.search(r"\shx-(?:get|post|put|patch|delete)=|attrs", tag), tag


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(TEMPLATES)))
def test_every_static_file_a_template_names_is_there(page: Path) -> None:
    named = re.findall(r"\{\{ static \}\}/([^\"'#{]+)", page.read_text())
    assert [name for name in named if not (STATIC / name).is_file()] == []
    assert "/static/" not in page.read_text()


def _symbols(sheet: str) -> set[str]:
    return set(re.findall(r'<symbol id="([\w-]+)"', (STATIC / sheet).read_text()))


def test_every_sign_a_template_asks_for_is_drawn() -> None:
    texts = [page.read_text() for page in PAGES]
    asked = set(chain.from_iterable(re.findall(r"\bicon\(\"([\w-]+)\"", text) for text in texts))
    assert asked
    assert asked - _symbols("icons.svg") == set()


def test_the_drawings_named_in_the_macros_are_the_ones_drawn() -> None:
    text = (TEMPLATES / "parts" / "icons.html").read_text()
    for kind in ("defect", "outlet"):
        found = re.search(rf"set {kind}s_drawn = \[(.*?)\]", text, re.DOTALL)
        assert found
        named = {f"{kind}-{name}" for name in re.findall(r'"([\w-]+)"', found[1])}
        assert named == {symbol for symbol in _symbols("drawings.svg") if symbol.startswith(f"{kind}-")}


def test_htmx_is_the_published_file() -> None:
    assert hashlib.sha256((STATIC / "vendor" / "htmx-4.0.1" / "htmx.min.js").read_bytes()).hexdigest() == HTMX
