import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.trays.counts import CountResult, Misfit, TrayType, count_bands, count_for

SEVEN_KG = TrayType("7-kg", "7 kg tray", 7000, (9, 10, 12, 14, 16, 18, 20, 22, 25), heaviest_dg=11000)


@pytest.mark.parametrize(
    ("weight_dg", "count"),
    [(7778, 9), (7777, 10), (7000, 10), (6999, 12), (4375, 16), (4374, 18), (2800, 25), (11000, 9)],
)
def test_the_count_is_the_smallest_that_reaches_the_net_weight(weight_dg: int, count: int) -> None:
    assert count_for(SEVEN_KG, weight_dg) == CountResult(count)


@pytest.mark.parametrize(
    ("weight_dg", "misfit", "said"),
    [(2799, Misfit.TOO_LIGHT, "too small for this tray"), (11001, Misfit.TOO_HEAVY, "too big for this tray")],
)
def test_a_fruit_that_does_not_fit_has_no_count_but_a_reason(weight_dg: int, misfit: Misfit, said: str) -> None:
    result = count_for(SEVEN_KG, weight_dg)
    assert result == CountResult(None, misfit)
    assert result.says() == said


@pytest.mark.parametrize(
    ("net_g", "counts", "heaviest_dg"),
    [
        (0, (10,), None),
        (7000, (), None),
        (7000, (12, 10), None),
        (7000, (10, 10), None),
        (7000, (0, 1), None),
        (7000, (10,), 6999),
    ],
)
def test_a_tray_that_cannot_be_filled_is_refused(net_g: int, counts: tuple[int, ...], heaviest_dg: int | None) -> None:
    with pytest.raises(ValueError, match=r"tray|counts"):
        TrayType("tray", "tray", net_g, counts, heaviest_dg)


trays = st.builds(
    TrayType,
    id=st.just("tray"),
    name=st.just("tray"),
    net_g=st.integers(500, 12_000),
    counts=st.sets(st.integers(1, 100), min_size=1, max_size=12).map(lambda counts: tuple(sorted(counts))),
)


@given(trays, st.integers(1, 30_000))
def test_the_bands_and_the_count_agree(tray: TrayType, weight_dg: int) -> None:
    holding = [
        band.count
        for band in count_bands(tray)
        if band.lightest_dg <= weight_dg and (band.heaviest_dg is None or weight_dg <= band.heaviest_dg)
    ]
    result = count_for(tray, weight_dg)
    assert holding == ([] if result.count is None else [result.count])


@given(trays, st.integers(1, 30_000))
def test_a_tray_of_a_fruits_count_is_never_short_and_one_count_less_would_be(tray: TrayType, weight_dg: int) -> None:
    count = count_for(tray, weight_dg).count
    smaller = [other for other in tray.counts if count is None or other < count]
    assert count is None or weight_dg * count >= tray.net_g * 10
    assert all(weight_dg * other < tray.net_g * 10 for other in smaller)


def test_a_count_beyond_the_heaviest_fruit_has_no_band() -> None:
    tray = TrayType("tray", "tray", 7000, (5, 10, 20), heaviest_dg=9000)
    assert [(band.count, band.lightest_dg, band.heaviest_dg) for band in count_bands(tray)] == [
        (10, 7000, 9000),
        (20, 3500, 6999),
    ]
