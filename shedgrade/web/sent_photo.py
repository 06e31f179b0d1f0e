"""A photo that was sent, read before its form gets its turn to write: unpacking one takes a core for a while, and the
bench does not wait for it. One thread reads all of them, so that many sent at once do not fill the memory."""

import asyncio
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends

from shedgrade.exchange.photo import PhotoError, Picture, read_photo
from shedgrade.web.state import CurrentPosted
from shedgrade.web.whoami import Grader

FILE = "photo"
_NO_FILE = "Take a photo, or choose one."
_ONE_AT_A_TIME = ThreadPoolExecutor(1, "photos")


@dataclass(frozen=True, slots=True)
class SentPhoto:
    """The picture, or what is wrong with what was sent."""

    picture: Picture | None
    mistake: str = ""


async def sent_photo(_person: Grader, posted: CurrentPosted) -> SentPhoto:
    """The photo in the form, of somebody who may send one."""
    sent = posted.files.get(FILE)
    if sent is None or not sent.name:
        return SentPhoto(None, _NO_FILE)
    try:
        return SentPhoto(await asyncio.get_running_loop().run_in_executor(_ONE_AT_A_TIME, read_photo, sent.content))
    except PhotoError as mistake:
        return SentPhoto(None, str(mistake))


CurrentPhoto = Annotated[SentPhoto, Depends(sent_photo)]
