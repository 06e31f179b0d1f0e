"""What slows guessing, and what a password and a PIN must be."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from shedgrade.domain import sign_in
from shedgrade.domain.sign_in import FORGIVEN_AFTER, PIN_FAILURES, Tried, name_key, wait_after

NOON = datetime(2026, 1, 12, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("failures", "seconds"), [(0, 0), (4, 0), (5, 2), (6, 4), (7, 8), (13, 512), (14, 900), (15, 900), (10_000, 900)]
)
def test_the_wait_doubles_up_to_a_quarter_of_an_hour(failures: int, seconds: int) -> None:
    assert wait_after(failures) == timedelta(seconds=seconds)


def guesses_in(day: timedelta, tried: Tried) -> int:
    """How many tries somebody gets who uses every moment they are let."""
    now, last, failures, guesses = timedelta(0), timedelta(0), 0, 0
    while now < day:
        guesses, failures, last = guesses + 1, failures + 1, now
        now = last + wait_after(failures, tried.free)
    return guesses


def test_about_a_hundred_passwords_of_one_name_are_tried_in_a_day() -> None:
    assert 90 < guesses_in(timedelta(days=1), Tried.name("Ada")) < 120


def in_bursts(tried: Tried) -> float:
    """How many tries a day somebody gets who after the free ones and the short waits stops until it is forgiven."""
    burst = tried.free + 9
    waited = sum((wait_after(each, tried.free) for each in range(burst)), timedelta(0))
    return burst * timedelta(days=1) / (waited + FORGIVEN_AFTER[tried.kind])


def test_waiting_until_a_name_is_forgiven_makes_guessing_no_faster() -> None:
    assert in_bursts(Tried.name("Ada")) < guesses_in(timedelta(days=1), Tried.name("Ada"))


def test_one_sender_tries_some_hundreds_of_names_a_day_at_most() -> None:
    assert in_bursts(Tried.sender("10.0.0.7")) < 750


def test_a_wait_counts_from_the_last_failure() -> None:
    ada = Tried.name("Ada")
    assert ada.wait(8, NOON, NOON + timedelta(seconds=6)) == timedelta(seconds=10)
    assert ada.wait(8, NOON, NOON + timedelta(seconds=17)) == timedelta(0)


def test_only_a_pin_is_closed() -> None:
    assert not Tried.pin(3).is_closed(PIN_FAILURES - 1)
    assert Tried.pin(3).is_closed(PIN_FAILURES)
    assert not Tried.name("Ada").is_closed(10_000)
    assert not Tried.sender("10.0.0.7").is_closed(10_000)


@pytest.mark.parametrize("typed", ["Zoë Quill", "  zoë   QUILL ", "Zoe\u0308 Quill"])
def test_a_name_is_the_same_however_it_is_typed(typed: str) -> None:
    assert name_key(typed) == name_key("Zoë Quill")
    assert Tried.name(typed) == Tried.name("Zoë Quill")


def test_a_typed_name_is_not_kept_in_words() -> None:
    assert "mangoes" not in Tried.name("three wet mangoes").key


@pytest.mark.parametrize(
    ("address", "other", "same"),
    [
        ("10.0.0.7", "10.0.0.8", False),
        ("2001:db8:1:2::1", "2001:db8:1:2:ffff::9", True),
        ("2001:db8:1:2::1", "2001:db8:1:3::1", False),
        ("::ffff:10.0.0.7", "10.0.0.7", True),
        ("fe80::1%eth0", "fe80::2%eth0", True),
        ("testclient", "testclient", True),
        ("", "", True),
    ],
)
def test_a_sender_is_a_machine_or_a_network_of_its_own(address: str, other: str, *, same: bool) -> None:
    assert (Tried.sender(address) == Tried.sender(other)) is same


@pytest.mark.parametrize("text", ["ten letters", "x1y2z3w4v5", "ябълка слива"])
def test_takes_a_password(text: str) -> None:
    assert sign_in.password(text) == text


@pytest.mark.parametrize("text", ["", "nine char", "x" * 201, "aaaaaaaaaaaa", "abababababab"])
def test_refuses_a_password_in_a_sentence(text: str) -> None:
    with pytest.raises(ValueError, match="three or four words do well"):
        sign_in.password(text)


def test_takes_a_pin_without_its_spaces() -> None:
    assert sign_in.pin(" 402 817 ") == "402817"


NO_PINS = ["", "40281", "4028170", "40281a", "٤٠٢٨١٧"]
REPEATS = ["111111", "121212", "112233", "123123", "159159", "335577", "400400", "404844"]
RUNS = ["123456", "987654", "402345", "321948", "591230", "765129", "012846", "846210"]


@pytest.mark.parametrize("text", [*NO_PINS, *REPEATS, *RUNS])
def test_refuses_a_pin_and_says_what_one_is(text: str) -> None:
    with pytest.raises(ValueError) as mistake:  # noqa: PT011 - the sentence is looked at below
        sign_in.pin(text)
    assert str(mistake.value).endswith(f"A PIN is {sign_in.PIN_RULE}")


def test_the_rule_of_a_pin_is_what_its_sentence_says() -> None:
    """Every PIN there is, held against the sentence read by itself."""
    assert sign_in.PIN_RULE == (
        "6 digits, at least 4 of them different, and nowhere three in a row that count up or down, like 123 or 321."
    )
    taken = 0
    for number in range(0, 1_000_000, 7):
        digits = f"{number:06}"
        steps = [int(after) - int(before) for before, after in pairwise(digits)]
        counts = any(one == other and abs(one) == 1 for one, other in pairwise(steps))
        is_good = len(set(digits)) >= 4 and not counts
        assert accepted(digits) is is_good, digits
        taken += is_good
    assert taken > 100_000  # of the 142 858 looked at: guessing stays as hard as it was


def accepted(digits: str) -> bool:
    try:
        return sign_in.pin(digits) == digits
    except ValueError:
        return False


def test_the_rule_of_a_password_is_what_its_sentence_says() -> None:
    said = "10 to 200 letters, figures or spaces, at least 5 of them different; three or four words do well."
    assert said == sign_in.PASSWORD_RULE
    assert sign_in.password("abcdeabcde") == "abcdeabcde"
    for text in ("abcdabcdab", "abcdefghi", "abcde" * 41):
        with pytest.raises(ValueError, match="at least 5 of them different"):
            sign_in.password(text)
