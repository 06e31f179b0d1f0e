"""A photo as it came, read whole before anything is stored, and drawn anew from its pixels.

What is kept is a plain JPEG of ours: no place, no camera, no comment and no second file hidden behind the first can
come along. What a file is called, and what it says it is, is not asked.
"""

import struct
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

from shedgrade.domain.units import digits

if TYPE_CHECKING:
    from PIL import Image

MOST_MB = 12
LONGEST_SIDE = 1280
_MOST_MEGAPIXELS = 60  # more than the cameras of telephones give, far less than a file made to fill the memory asks for
_LEAST_SIDE = 100
_QUALITY = 82
_FORMATS = ("JPEG", "PNG", "WEBP")
_ACCEPTED = f"a photo as JPEG, PNG or WebP, of at most {MOST_MB} MB, is accepted"


class PhotoError(ValueError):
    """A file that is not kept; the text says why, and what would be accepted."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A JPEG of ours, and its size in pixels."""

    jpeg: bytes
    width: int
    height: int


def read_photo(content: bytes) -> Picture:
    """The photo in a file; PhotoError."""
    if not content:
        raise PhotoError(f"That file is empty; {_ACCEPTED}.")
    if len(content) > MOST_MB * 1_000_000:
        raise PhotoError(f"That file has {digits(-(-len(content) // 1_000_000))} MB; {_ACCEPTED}.")
    from PIL import Image  # noqa: PLC0415 - only who sends a photo waits for it

    try:
        with Image.open(BytesIO(content), formats=_FORMATS) as opened:
            _refuse_size(*opened.size)
            return _drawn_anew(opened)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as bomb:
        raise PhotoError(_too_large()) from bomb
    except PhotoError:
        raise
    except (OSError, SyntaxError, ValueError, EOFError, struct.error) as broken:  # what decoders raise
        raise PhotoError(f"That file is no photo, or it is broken; {_ACCEPTED}.") from broken


def _refuse_size(width: int, height: int) -> None:
    """By what the head of the file says, before a single pixel is unpacked."""
    if width * height > _MOST_MEGAPIXELS * 1_000_000:
        raise PhotoError(_too_large())
    if min(width, height) < _LEAST_SIDE:
        raise PhotoError(
            f"That picture is {width} by {height} dots, too small to see a fault; at least {_LEAST_SIDE} dots either "
            "way are accepted."
        )


def _too_large() -> str:
    return f"That picture has too many dots; up to {_MOST_MEGAPIXELS} megapixels are accepted."


def _drawn_anew(opened: "Image.Image") -> Picture:
    """Upright, no larger than is needed, on white where it can be seen through, with nothing but its pixels."""
    from PIL import Image, ImageOps  # noqa: PLC0415

    opened.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
    upright = ImageOps.exif_transpose(opened)
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
    plain = Image.new("RGB", upright.size, "white")
    if upright.has_transparency_data:
        seen_through = upright.convert("RGBA")
        plain.paste(seen_through, mask=seen_through.getchannel("A"))
    else:
        plain.paste(upright.convert("RGB"))
    kept = BytesIO()
    plain.save(kept, "JPEG", quality=_QUALITY, optimize=True)
    return Picture(kept.getvalue(), *plain.size)
