"""A drawn mango with a sap stain, for want of a photo: the season is invented, and so is its fruit."""

from io import BytesIO
from random import Random

_SIZE = (960, 720)


def drawn_fault(seed: str) -> bytes:
    """A JPEG of a fruit with dark runs from the stalk; another one for each seed."""
    from PIL import Image, ImageDraw, ImageFilter  # noqa: PLC0415

    random = Random(seed)
    picture = Image.new("RGB", _SIZE, "#d8d4cc")
    pen = ImageDraw.Draw(picture)
    pen.ellipse((180, 110, 800, 640), fill="#c9a83c")
    pen.ellipse((180, 110, 640, 520), fill="#b9a544")
    for _ in range(random.randint(5, 8)):
        x, y = random.randint(300, 460), random.randint(130, 180)
        for _ in range(random.randint(18, 34)):
            pen.ellipse((x, y, x + 20, y + 26), fill="#3a2b16")
            x, y = x + random.randint(-6, 7), y + random.randint(5, 10)
    pen.rectangle((470, 80, 492, 128), fill="#5b4a2a")
    kept = BytesIO()
    picture.filter(ImageFilter.GaussianBlur(2)).save(kept, "JPEG", quality=82)
    return kept.getvalue()
