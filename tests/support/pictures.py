"""Pictures as telephones and others send them."""

import io
import struct
import zlib

from PIL import Image
from PIL.TiffImagePlugin import IFDRational

PLACE = b"27.4698"  # what stands in the file of where it was taken; made up
CAMERA = "Tarpaulin 7"


def as_bytes(image: Image.Image, form: str = "JPEG", **options: object) -> bytes:
    kept = io.BytesIO()
    image.save(kept, form, **options)
    return kept.getvalue()


def picture(width: int = 640, height: int = 480, colour: str = "#7a9a3c", mode: str = "RGB") -> Image.Image:
    return Image.new("RGB", (width, height), colour).convert(mode)


def with_place() -> bytes:
    """A photo lying on its side that says where it was taken, with which camera, and something more in a comment."""
    image = picture(600, 300)
    image.paste("red", (0, 0, 300, 300))  # the left half; upright it is the upper one
    exif = Image.Exif()
    exif[0x0112] = 6  # Orientation: turn a quarter to the right to see it (EXIF 2.32, 4.6.4)
    exif[0x0110] = CAMERA
    place = exif.get_ifd(0x8825)
    place[1], place[2] = "S", (IFDRational(27), IFDRational(28), IFDRational(1104, 100))
    place[29] = PLACE.decode()
    return as_bytes(image, exif=exif, comment=b"taken at " + PLACE)


def claiming(width: int, height: int) -> bytes:
    """A PNG of a few bytes that says it has so many dots (ISO/IEC 15948: IHDR, IDAT, IEND)."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + _chunk(b"IHDR", head)
        + _chunk(b"IDAT", zlib.compress(b"\x00" * 64))
        + _chunk(b"IEND", b"")
    )


def _chunk(kind: bytes, held: bytes) -> bytes:
    return struct.pack(">I", len(held)) + kind + held + struct.pack(">I", zlib.crc32(kind + held))
