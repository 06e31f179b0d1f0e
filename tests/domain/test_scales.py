"""One weight for each thing on the scale, out of all its lines. Times and sizes are our own choices."""

from collections.abc import Iterable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.entry.scale_line import scale_line
from shedgrade.domain.scales import Settling


def told(lines: Iterable[bytes], gap_s: float = 0.1) -> list[int]:
    """What is told of lines that come in such a gap, in tenths of a gram; quiet follows."""
    settling, at_s, found = Settling(), 0.0, list[int]()
    for line in lines:
        at_s += gap_s
        quiet, weight = settling.quiet(at_s), settling.line(scale_line(line), at_s)
        found += [each for each in (quiet, weight) if each is not None]
    last = settling.quiet(at_s + 2)
    return found if last is None else [*found, last]


def stream(*weights: str, times: int = 6) -> list[bytes]:
    return [f"ST,GS,+ {weight} g".encode() for weight in weights for _ in range(times)]


MOVING = [b"US,GS,+ 300.0 g"] * 3


def test_a_fruit_is_told_once_however_often_it_is_sent() -> None:
    assert told(stream("0.0", "412.5", times=20)) == [4125]


def test_the_next_fruit_is_told_after_the_scale_was_empty() -> None:
    assert told(stream("0.0", "412.5", "0.0", "412.5", "0.1", "398.0")) == [4125, 4125, 3980]


def test_or_after_it_was_unsettled() -> None:
    assert told([*stream("412.5"), *MOVING, *stream("412.5"), *MOVING, *stream("398.0")]) == [4125, 4125, 3980]


def test_a_figure_that_flickers_is_one_fruit() -> None:
    assert told(stream("412.5", "412.6", "412.4", times=2)) == [4125]


def test_a_figure_that_changes_is_told_again() -> None:
    assert told(stream("405.0", "412.5")) == [4050, 4125]


@pytest.mark.parametrize("line", [b"OL", b"UL", b"----", b"Err"])
def test_what_is_no_reading_parts_two_fruit(line: bytes) -> None:
    assert told([*stream("412.5"), line, *stream("412.5")]) == [4125, 4125]


@pytest.mark.parametrize("line", [b"TR,+ 10.0 g", b"TARE 10.0 g", b"T 10.0 g", b"Tare: 10.0 g", b"Tare"])
def test_a_tare_is_no_weight_and_parts_nothing(line: bytes) -> None:
    assert told([line, line, line]) == []
    assert told([line], gap_s=4) == []
    assert told([*stream("412.5"), line, *stream("412.5")]) == [4125]


def test_of_a_slip_with_gross_tare_and_net_the_net_is_told() -> None:
    assert told([b"GROSS 422.5 g", b"TARE 10.0 g", b"NET 412.5 g"]) == [4125]


def test_noise_parts_nothing() -> None:
    assert told([*stream("412.5"), b"\xff\x00", b"hello", *stream("412.5")]) == [4125]


def test_a_stream_that_never_says_settled_is_told_when_it_stands_still() -> None:
    bare = [b"0.0", b"0.0", b"120.5", b"300.0", b"411.0", b"412.5", b"412.5", b"412.5", b"412.5", b"0.0", b"0.0"]
    assert told(bare) == [4125]


def test_a_press_of_the_scales_key_is_a_reading_each_time() -> None:
    assert told(stream("412.5", times=3), gap_s=4) == [4125, 4125, 4125]
    assert told([b"412.5"] * 3, gap_s=4) == [4125, 4125, 4125]


@pytest.mark.parametrize("line", [b"412.5", b"ST,GS,+ 412.5 g"])
@pytest.mark.parametrize("apart_s", [0.2, 1.0, 1.4, 1.6, 2.4])
def test_a_key_that_is_pressed_twice_is_one_fruit(line: bytes, apart_s: float) -> None:
    assert told([line, line], gap_s=apart_s) == [4125]


@pytest.mark.parametrize("apart_s", [0.2, 1.4])
def test_of_a_key_that_is_pressed_again_as_the_weight_had_not_settled_the_last_is_told(apart_s: float) -> None:
    assert told([b"405.0", b"412.5"], gap_s=apart_s) == [4125]


def test_a_stream_that_ends_while_it_moves_tells_nothing() -> None:
    assert told([b"120.5", b"300.0", b"411.0"]) == []


def test_a_stream_is_remembered_by_a_few_figures_however_long_it_is() -> None:
    settling = Settling()
    for count in range(10_000):
        settling.line(scale_line(b"412.5"), count / 10)
    assert all(isinstance(getattr(settling, name), int | float) for name in Settling.__slots__)


def test_a_press_with_nothing_on_the_scale_is_none() -> None:
    assert told([b"0.0 g", b"1.9 g", b"-412.5 g"], gap_s=4) == []


@given(st.lists(st.binary(max_size=12) | st.sampled_from([*stream("412.5", "0.0", times=1), *MOVING]), max_size=60))
def test_whatever_comes_only_weights_of_something_are_told(lines: list[bytes]) -> None:
    assert all(weight >= 20 for weight in told(lines))
