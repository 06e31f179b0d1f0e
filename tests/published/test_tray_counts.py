"""Journal of Applied Packaging Research 6(2), 4 kg mango tray design, abstract; read.

A 12-down tray holds 5 kg, a 15-down tray 3.75 kg, a 14-down tray slightly under 4 kg; so mean fruit of 417 g, 250 g
and under 286 g (calculated). Net weight divided by count for 4, 5 and 7 kg trays: calculated.
"""

import pytest

from shedgrade.domain.trays.counts import CountResult, TrayType, count_bands, count_for


@pytest.mark.parametrize(("net_g", "count", "weight_dg"), [(5000, 12, 4170), (3750, 15, 2500)])
def test_the_mean_fruit_of_the_tray_design_has_its_count(net_g: int, count: int, weight_dg: int) -> None:
    tray = TrayType("design", "design", net_g, (count - 1, count, count + 1))
    assert count_for(tray, weight_dg) == CountResult(count)


def test_fourteen_fruit_of_the_design_stay_under_4_kg() -> None:
    """14 fruit of under 286 g: 285 g does not fill 4 kg by 14, 286 g does."""
    tray = TrayType("design", "design", 4000, (14, 15))
    assert count_for(tray, 2850).count == 15
    assert count_for(tray, 2860).count == 14


FOUR_KG = {4: 1000, 5: 800, 6: 667, 7: 571, 8: 500, 9: 444, 10: 400, 12: 333, 14: 286, 16: 250, 18: 222, 20: 200}
FIVE_KG = {4: 1250, 5: 1000, 6: 833, 7: 714, 8: 625, 9: 556, 10: 500, 12: 417, 14: 357, 16: 312, 18: 278, 20: 250}
SEVEN_KG = {7: 1000, 8: 875, 9: 778, 10: 700, 12: 583, 14: 500, 16: 438, 18: 389, 20: 350}


@pytest.mark.parametrize(("net_g", "means"), [(4000, FOUR_KG), (5000, FIVE_KG), (7000, SEVEN_KG)])
def test_the_lower_edge_of_a_count_is_net_weight_divided_by_count(net_g: int, means: dict[int, int]) -> None:
    tray = TrayType("tray", "tray", net_g, tuple(means))
    for band in count_bands(tray):
        assert abs(band.lightest_dg - means[band.count] * 10) <= 5  # the table is rounded to the gram
