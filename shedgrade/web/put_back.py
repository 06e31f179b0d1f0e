"""Putting what somebody had typed back into the form of a page, as if it had been drawn so: no script is needed for it,
and it is saved only when the person presses the button."""

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from html.parser import HTMLParser

from markupsafe import escape

from shedgrade.web.kept import SECRETS, Fields, KeptForm

Attributes = Mapping[str, str | None]
LeftOver = tuple[tuple[str, str], ...]
# "version" says which state of the record was being changed: a form that is out of date stays so.
_HIDDEN_TOO = "version"
_NOT_FILLED = frozenset({"password", "file", "submit", "button", "image", "reset"})


@dataclass(frozen=True, slots=True)
class Filled:
    """A page with the form filled, and the typed fields that had no place in it."""

    html: str
    left_over: LeftOver


def put_back(html: str, form: KeptForm, said: Callable[[LeftOver, bool], str]) -> Filled | None:
    """Fill the first form of the page that is sent where this one was; ``said`` gives the HTML that stands at its
    beginning, from what has no place in it and whether it asks for a password or a PIN. None where the page has no such
    form, or no field of it that somebody types into."""
    finder = _Finder(html, form)
    if not finder.filled:
        return None
    left_over = tuple((name, value) for name, value in form.fields if name not in finder.names and value.strip())
    edits = [*finder.edits, (finder.begins, finder.begins, said(left_over, finder.asks_secret))]
    for start, end, new in sorted(edits, reverse=True):
        html = html[:start] + new + html[end:]
    return Filled(html, left_over)


class _Finder(HTMLParser):
    """Goes through a page once, and finds what is to be changed: from, to, and what stands there then."""

    def __init__(self, html: str, form: KeptForm) -> None:
        super().__init__()
        self.edits: list[tuple[int, int, str]] = []
        self.names: set[str] = set()
        self.filled, self.asks_secret, self.begins = False, False, 0
        self._action, self._typed = form.action, _by_name(form.fields)
        self._place: dict[str, int] = defaultdict(int)
        self._inside, self._done = False, False
        self._select = ""
        self._text_from: tuple[int, str] | None = None
        self._lines = [0, *(at + 1 for at, letter in enumerate(html) if letter == "\n")]
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        if tag == "form" and not self._done and _is_posted_to(named, self._action):
            self._inside, self._done, self.begins = True, True, self._end_of_tag()
            self._rewrite(tag, {**named, "data-unsaved": ""})
        elif self._inside and (name := named.get("name") or ""):
            self.names.add(name)
            self._field(tag, name, named)
        elif self._inside and tag == "option" and self._select:
            self._option(named)

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._inside = False
        elif tag == "select":
            self._select = ""
        elif tag == "textarea" and self._text_from is not None:
            start, text = self._text_from
            self.edits.append((start, self._here(), str(escape(text))))
            self._text_from = None

    def _field(self, tag: str, name: str, named: Attributes) -> None:
        kind = (named.get("type") or "text").lower()
        self.asks_secret = self.asks_secret or name in SECRETS
        if tag == "input" and kind in {"checkbox", "radio"}:
            self.filled = True
            self._rewrite(
                tag, _marked(named, "checked", is_so=(named.get("value") or "on") in self._typed.get(name, ()))
            )
        elif tag == "input" and kind not in _NOT_FILLED and (kind != "hidden" or name == _HIDDEN_TOO):
            self.filled = self.filled or kind != "hidden"
            if (text := self._next(name)) is not None:
                self._rewrite(tag, {**named, "value": text})
        elif tag == "select" and name in self._typed:
            self.filled, self._select = True, name
        elif tag == "textarea" and (text := self._next(name)) is not None:
            self.filled, self._text_from = True, (self._end_of_tag(), text)

    def _option(self, named: Attributes) -> None:
        self._rewrite("option", _marked(named, "selected", is_so=named.get("value") in self._typed[self._select]))

    def _next(self, name: str) -> str | None:
        """What was typed into the next field of this name; None where nothing came of it."""
        place, values = self._place[name], self._typed.get(name, ())
        self._place[name] += 1
        return values[place] if place < len(values) else None

    def _rewrite(self, tag: str, named: Attributes) -> None:
        written = "".join(
            f" {name}" if value is None else f' {name}="{escape(value)}"' for name, value in named.items()
        )
        self.edits.append((self._here(), self._end_of_tag(), f"<{tag}{written}>"))

    def _here(self) -> int:
        line, column = self.getpos()
        return self._lines[line - 1] + column

    def _end_of_tag(self) -> int:
        return self._here() + len(self.get_starttag_text() or "")


def _by_name(fields: Fields) -> Mapping[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, value in fields:
        found.setdefault(name, []).append(value)
    return found


def _is_posted_to(named: Attributes, action: str) -> bool:
    return (named.get("method") or "").lower() == "post" and (named.get("action") or "").partition("#")[0] == action


def _marked(named: Attributes, mark: str, *, is_so: bool) -> Attributes:
    without = {name: value for name, value in named.items() if name != mark}
    return {**without, mark: None} if is_so else without
