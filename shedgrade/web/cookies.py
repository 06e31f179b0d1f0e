"""What a browser is given to hold: out of reach of scripts and of other sites, and over https only where it came so."""

from datetime import timedelta

from fastapi import Request
from starlette.responses import Response


def keep(request: Request, answer: Response, name: str, token: str, how_long: timedelta) -> None:
    """Give the browser a token to hold."""
    answer.set_cookie(
        name,
        token,
        max_age=int(how_long.total_seconds()),
        path="/",
        httponly=True,
        samesite="lax",
        secure=request.url.scheme == "https",
    )


def drop(request: Request, answer: Response, name: str) -> None:
    """Take it back."""
    answer.delete_cookie(name, path="/", httponly=True, samesite="lax", secure=request.url.scheme == "https")
