"""What is kept of a password or a PIN."""

import re

import pytest

from shedgrade.domain.sign_in import LONGEST_PASSWORD
from shedgrade.storage.hashing import NOBODYS, fits, hash_of


def parameters(kept: str) -> list[str]:
    return re.findall(r"argon2id|v=\d+|m=\d+|t=\d+|p=\d+", kept)


def test_a_secret_fits_its_own_hash_and_no_other() -> None:
    kept = hash_of("three wet mangoes")
    assert "mangoes" not in kept
    assert fits("three wet mangoes", kept)
    assert not fits("three wet mango", kept)
    assert not fits("Three wet mangoes", kept)
    assert not fits("", kept)


def test_the_same_secret_is_kept_differently_each_time() -> None:
    assert hash_of("402817") != hash_of("402817")


def test_it_is_slow_as_was_chosen() -> None:
    assert parameters(hash_of("402817")) == ["argon2id", "v=19", "m=19456", "t=2", "p=1"]


def test_nobody_is_checked_at_the_same_cost_and_never_fits() -> None:
    assert parameters(NOBODYS) == parameters(hash_of("402817"))
    assert [len(part) for part in NOBODYS.split("$")] == [len(part) for part in hash_of("402817").split("$")]
    assert not fits("", "")
    assert not fits("three wet mangoes", "")


@pytest.mark.parametrize("typed", ["Zoe\u0308s mangoes", "  Zoës mangoes ", "\uff3aoës mangoes"])
def test_a_secret_is_the_same_however_the_keyboard_makes_its_letters(typed: str) -> None:
    assert fits(typed, hash_of("Zoës mangoes"))


def test_a_long_secret_is_not_cut_to_one_that_fits() -> None:
    longest = "a1b2c3d4e5" * (LONGEST_PASSWORD // 10)
    kept = hash_of(longest)
    assert fits(longest, kept)
    assert not fits(longest + "x", kept)
    assert not fits("x" * 1_000_000, kept)


def test_what_was_kept_by_something_else_fits_nothing() -> None:
    assert not fits("x", "$argon2id$v=19$m=19456,t=2,p=1$broken")
