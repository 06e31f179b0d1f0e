"""How signing in is slowed after failures, and what a password and a PIN must be.

The curve is ours: five slips are free, then each failure doubles the wait, up to a quarter of an hour; after twenty
failures in a row a PIN opens nothing until its owner has signed in by password or the shed manager gives a new one.
At that rate somebody who guesses gets through about a hundred passwords a day, however many senders they use.
"""

import re
from datetime import timedelta

PIN_DIGITS = 6
SHORTEST_PASSWORD = 10
LONGEST_PASSWORD = 200
FREE_FAILURES = 5
PIN_FAILURES = 20
_FIRST_WAIT_S = 2
_LONGEST_WAIT = timedelta(minutes=15)


def wait_after(failures: int) -> timedelta:
    """How long nobody can try again after so many failures in a row."""
    doublings = failures - FREE_FAILURES
    if doublings < 0:
        return timedelta(0)
    return min(timedelta(seconds=_FIRST_WAIT_S << min(doublings, 20)), _LONGEST_WAIT)


def password(text: str) -> str:
    """A new password; ValueError says what is asked of it."""
    if not SHORTEST_PASSWORD <= len(text) <= LONGEST_PASSWORD:
        raise ValueError(
            f"That is {len(text)} letters long. Use at least {SHORTEST_PASSWORD}; three or four words do well."
        )
    if len(set(text)) < SHORTEST_PASSWORD // 2:
        raise ValueError("That repeats itself. Three or four words do well.")
    return text


def pin(text: str) -> str:
    """A new PIN; ValueError says what is asked of it."""
    digits = re.sub(r"\s", "", text)
    if not (digits.isascii() and digits.isdigit() and len(digits) == PIN_DIGITS):
        raise ValueError(f"A PIN is {PIN_DIGITS} digits, such as 402817.")
    if len(set(digits)) < 3 or digits in "01234567890" or digits in "09876543210":
        raise ValueError("That PIN is easy to guess. Take one without a run or a repeat.")
    return digits
