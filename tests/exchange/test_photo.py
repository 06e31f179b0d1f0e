"""Photos read whole: what is kept is a JPEG of our own making, and what is no photo is refused in a sentence."""

import io
import time

import pytest
from PIL import Image

from shedgrade.exchange.photo import LONGEST_SIDE, MOST_MB, PhotoError, read_photo
from tests.support.pictures import CAMERA, PLACE, as_bytes, claiming, picture, with_place

CUT_SHORT = b"Exif\x00\x00II*\x00"
"""What stands beside the pixels, ending before it says where its first entry is."""


def opened(jpeg: bytes) -> Image.Image:
    image = Image.open(io.BytesIO(jpeg))
    image.load()
    return image


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_what_telephones_send_is_kept_as_a_jpeg(form: str) -> None:
    kept = read_photo(as_bytes(picture(), form))
    image = opened(kept.jpeg)
    assert (image.format, image.mode, image.size) == ("JPEG", "RGB", (640, 480))
    assert (kept.width, kept.height) == (640, 480)


def test_a_large_photo_is_made_smaller_in_proportion() -> None:
    kept = read_photo(as_bytes(picture(4000, 3000)))
    assert opened(kept.jpeg).size == (kept.width, kept.height) == (LONGEST_SIDE, 960)
    assert len(kept.jpeg) < 400_000


def test_place_camera_and_comment_are_not_kept_and_it_stands_upright() -> None:
    sent = with_place()
    assert all(hidden in sent for hidden in (PLACE, CAMERA.encode()))
    kept = read_photo(sent)
    assert all(hidden not in kept.jpeg for hidden in (PLACE, CAMERA.encode(), b"Exif", b"taken at"))
    image = opened(kept.jpeg)
    assert image.size == (300, 600)
    assert not image.getexif()
    assert (red_at(image, (150, 60)), red_at(image, (150, 540))) == (True, False)


def red_at(image: Image.Image, place: tuple[int, int]) -> bool:
    red, green, blue = image.getpixel(place)  # type: ignore[misc]
    return red > 200 and green < 60 and blue < 60


def test_a_second_file_behind_the_photo_is_not_kept() -> None:
    script = b"<script>alert(1)</script>PK\x03\x04"
    kept = read_photo(as_bytes(picture()) + script)
    assert b"<script" not in kept.jpeg
    assert b"PK\x03\x04" not in kept.jpeg


@pytest.mark.parametrize("mode", ["L", "P", "RGBA", "LA", "1"])
def test_other_kinds_of_pixels_are_turned_into_plain_ones(mode: str) -> None:
    assert opened(read_photo(as_bytes(picture(mode=mode), "PNG")).jpeg).mode == "RGB"


def test_what_can_be_seen_through_is_on_white() -> None:
    clear = Image.new("RGBA", (200, 200), (0, 0, 0, 0))
    assert opened(read_photo(as_bytes(clear, "PNG")).jpeg).getpixel((100, 100)) == (255, 255, 255)


def test_print_colours_are_read() -> None:
    assert opened(read_photo(as_bytes(picture(mode="CMYK"))).jpeg).mode == "RGB"


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        (b"", "is empty"),
        (b"weight g,bin\n412,1\n", "is no photo"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", "is no photo"),
        (b"%PDF-1.7\n", "is no photo"),
        (b"GIF89a" + b"\x00" * 200, "is no photo"),
        (as_bytes(picture(), "GIF"), "is no photo"),  # a real one: not one of the three forms
        (as_bytes(picture(), "TIFF"), "is no photo"),
        (as_bytes(picture())[:-400], "is no photo, or it is broken"),
        (as_bytes(picture(), "PNG")[:-60], "is no photo, or it is broken"),
        (b"\xff\xd8\xff\xe0" + b"\x00" * 500, "is no photo"),
        (as_bytes(picture(99, 400)), "99 by 400 dots, too small"),
        (as_bytes(picture(), "PNG", exif=CUT_SHORT), "is no photo, or it is broken"),
        (as_bytes(picture(), "WEBP", exif=CUT_SHORT), "is no photo, or it is broken"),
        (b"\x00" * (MOST_MB * 1_000_000 + 1), "That file has 13 MB; a photo as JPEG, PNG or WebP, of at most 12 MB"),
    ],
)
def test_what_is_no_photo_is_refused_with_what_is_accepted(sent: bytes, sentence: str) -> None:
    with pytest.raises(PhotoError, match="accepted") as refused:
        read_photo(sent)
    assert sentence in str(refused.value)


@pytest.mark.parametrize(("width", "height"), [(9_000, 9_000), (12_000, 12_000), (60_000, 60_000), (2**31 - 1, 9)])
def test_a_file_made_to_fill_the_memory_is_refused_by_its_head(width: int, height: int) -> None:
    begun = time.monotonic()
    with pytest.raises(PhotoError, match="accepted"):
        read_photo(claiming(width, height))
    assert time.monotonic() - begun < 2
