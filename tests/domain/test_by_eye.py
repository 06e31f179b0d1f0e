"""The range of a share of one tray."""

import pytest

from shedgrade.domain.sampling.by_eye import of_one_tray


def test_one_fruit_tells_what_one_fruit_tells() -> None:
    # Clopper and Pearson (Biometrika 26, 1934), by hand: 1 of 1 has the lower end 0.025, 0 of 1 the upper end 0.975.
    assert float(of_one_tray(1, 1).low or 0) == pytest.approx(0.025)
    assert of_one_tray(1, 1).high == 1
    assert float(of_one_tray(0, 1).high or 0) == pytest.approx(0.975)
    assert of_one_tray(0, 1).low == 0


def test_eleven_fruit_tell_as_much_as_five_and_a_half() -> None:
    """1 + 10 times a likeness of 0.1 is 2: half as many. None found of n has the upper end 1 - 0.025^(1/n), by hand."""
    assert float(of_one_tray(0, 11).high or 0) == pytest.approx(1 - 0.025 ** (1 / 5.5))


def test_it_is_wider_than_that_of_fruit_drawn_apart() -> None:
    # The exact range for 30 of 40 drawn apart is 58.8 to 87.3 % (printed in tables of exact ranges; from memory).
    look = of_one_tray(30, 40)
    assert (float(look.value), look.n_fruit, look.n_draws) == (0.75, 40, 1)
    assert float(look.low or 0) < 0.588
    assert float(look.high or 0) > 0.873


@pytest.mark.parametrize(("found", "looked_at"), [(1, 0), (0, 0), (5, 4), (-1, 4)])
def test_refuses_what_is_no_share(found: int, looked_at: int) -> None:
    with pytest.raises(ValueError, match="no share"):
        of_one_tray(found, looked_at)
