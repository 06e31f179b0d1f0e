"""One posted form, read raw: every refusal is ours to word, and nothing typed is lost."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from fastapi import HTTPException, Request
from starlette.datastructures import UploadFile
from starlette.formparsers import MultiPartException

MOST_FIELDS = 2_000
# No database keeps these as text: PostgreSQL no NUL, neither of them half a surrogate pair, which a form can bring
# along by naming a charset such as utf-7.
_NOT_TEXT = re.compile("[\x00\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class PostedFile:
    """An uploaded file, whole."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Posted(Mapping[str, str]):
    """The fields as typed, the last one of a name counting; ``every`` has all values of a name."""

    fields: tuple[tuple[str, str], ...] = ()
    files: Mapping[str, PostedFile] = field(default_factory=dict)

    def __getitem__(self, name: str) -> str:
        """The last value typed under the name."""
        return dict(self.fields)[name]

    def __iter__(self) -> Iterator[str]:
        """The names that were sent."""
        return iter(dict(self.fields))

    def __len__(self) -> int:
        """How many names were sent."""
        return len(dict(self.fields))

    def every(self, name: str) -> tuple[str, ...]:
        """All values sent under the name, in order."""
        return tuple(value for key, value in self.fields if key == name)


async def read_posted(request: Request) -> Posted:
    """Read the body of a form; a broken one is refused in a sentence."""
    if request.method in {"GET", "HEAD"}:
        return Posted()
    try:
        async with request.form(max_fields=MOST_FIELDS, max_files=10) as form:
            fields = tuple((key, value) for key, value in form.multi_items() if isinstance(value, str))
            files = {
                key: PostedFile(storable(value.filename or ""), await value.read())
                for key, value in form.multi_items()
                if isinstance(value, UploadFile)
            }
    except (MultiPartException, ValueError) as mistake:
        raise HTTPException(400, "The form arrived broken. Go back and send it again.") from mistake
    posted = Posted(tuple((storable(key), storable(value)) for key, value in fields), files)
    request.state.posted = posted
    return posted


def storable(text: str) -> str:
    """The text without what no database keeps."""
    return _NOT_TEXT.sub("", text)
