"""What a page says of the form that led to it: the answer's address carries a word, ``/me?done=pin``."""

from fastapi import Request

DONE = {
    "password": "Your new password is stored. Wherever else you were signed in you are out.",
    "pin": "Your new PIN is stored. Every other tablet asks for it.",
    "person": "Saved. It holds from their next step on.",
    "new-person": "Saved. They are in the books.",
    "left": "Saved. They have left, and are signed out everywhere.",
    "back": "Saved. They are here again.",
    "their-password": "The new password is stored. Say it to them: it is shown to nobody again.",
    "their-pin": "The new PIN is stored. Say it to them: it is shown to nobody again.",
    "grower": "The grower is saved.",
    "block": "The block is saved.",
    "market": "The market is saved.",
    "confirmed": "Saved. What you ticked is confirmed, with the text you read it in.",
    "confirmation-taken-back": "Saved. That value is open again.",
    "setting": "Saved. The new value stands below, with the day it holds from.",
    "breaks": "The new breaks are in force, as a trial. Set them at the sizer, and weigh the next 20 trays.",
    "decision": "Saved. The breaks below are in force; set them at the sizer.",
    "tested": "The test is saved. It speaks for the load from now on.",
    "test-voided": "The test is voided. It counts no longer.",
    "published": "Published. It can be chosen for a market now, and not a word of it changes any more.",
    "ended": "That sign-in is ended. Whoever used it has to sign in again.",
    "scale-ended": "That scale is ended. What it sends goes nowhere any more.",
    "tablet-ended": "That tablet is ended, and every sign-in on it.",
}


def said_when_done(request: Request) -> str:
    """The sentence of a page's address; "" for a page that no form led to, or a word that is none of ours."""
    return DONE.get(request.query_params.get("done", ""), "") if request.method == "GET" else ""
