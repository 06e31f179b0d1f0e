"""Pack-out of hand-worked samples: figures, sums, and rows for what was not found."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.packout import (
    Base,
    CellRow,
    ClassRow,
    GradedFruit,
    PackOut,
    loose_value,
    pack_out,
    promised_trays,
    tray_value,
)
from shedgrade.domain.sampling.estimate import Method
from shedgrade.domain.sampling.totals import total

NET_G = 1_000_000
LABEL_G = 7000
PRICE_16_MINOR = 2400


def sixteen(grams: int) -> GradedFruit:
    return GradedFruit(grams * 10, "I", 16, None, packed=True, value_minor=tray_value(PRICE_16_MINOR, 16))


def juice(grams: int, class_id: str | None = None) -> GradedFruit:
    return GradedFruit(grams * 10, class_id, None, "juice", packed=False, value_minor=loose_value(45, grams * 10))


def loose_bulk(grams: int) -> GradedFruit:
    return GradedFruit(grams * 10, "II", None, "bulk", packed=True, value_minor=None)


# Two bins: 4 fruit of 400 g on average in each, half of them 16s of 460 g.
DRAWS = [
    [sixteen(460), juice(340), sixteen(460), juice(340)],
    [sixteen(450), juice(350), sixteen(470), juice(330)],
]


def class_row(result: PackOut, class_id: str | None) -> ClassRow:
    return next(row for row in result.classes if row.class_id == class_id)


def cell_row(result: PackOut, class_id: str, count: int) -> CellRow:
    return next(row for row in result.cells if (row.class_id, row.count) == (class_id, count))


def test_expected_trays_are_fruit_over_count() -> None:
    """1000 kg of 400 g are 2500 fruit, half of them 16s: 1250 / 16."""
    result = pack_out(DRAWS, NET_G)
    assert result.fruit.value == 2500
    assert cell_row(result, "I", 16).by_number.value == Fraction(1, 2)
    assert cell_row(result, "I", 16).trays.value == Fraction(1250, 16)


def test_kilograms_over_label_would_promise_five_in_a_hundred_too_many() -> None:
    """The 16s are 575 kg, which over 7 kg is 82.1 trays; but 16 of 460 g weigh 7.36 kg, and fill only 78.1."""
    result = pack_out(DRAWS, NET_G)
    by_label = class_row(result, "I").mass_g.value / LABEL_G
    trays = cell_row(result, "I", 16).trays.value
    assert class_row(result, "I").mass_g.value == 575_000
    assert by_label / trays == Fraction(16 * 460, LABEL_G) == Fraction("7.36") / 7
    assert by_label > trays


def test_pack_out_is_packed_weight_over_received_weight() -> None:
    result = pack_out(DRAWS, NET_G)
    assert result.pack_out.value == Fraction(575, 1000)
    assert result.pack_out.base is Base.PACK_OUT
    assert (result.net_g, result.n_fruit, result.n_draws) == (NET_G, 8, 2)


def test_an_outlet_may_count_as_packed() -> None:
    result = pack_out([[sixteen(500), loose_bulk(300), juice(200)]] * 2, NET_G)
    assert result.pack_out.value == Fraction(8, 10)
    masses = {row.outlet_id: int(row.mass_g.value) for row in result.outlets}
    assert masses == {"bulk": 300_000, "juice": 200_000, None: 500_000}


def test_value_is_per_fruit_in_trays_and_per_kilogram_elsewhere() -> None:
    """1250 fruit at 1.50, and 425 kg at 0.45."""
    result = pack_out(DRAWS, NET_G)
    in_trays, to_juice = class_row(result, "I").value_minor, class_row(result, None).value_minor
    assert result.value_minor is not None
    assert in_trays is not None
    assert to_juice is not None
    assert in_trays.value == 1250 * 150
    assert to_juice.value == 425 * 45
    assert result.value_minor.value == 1250 * 150 + 425 * 45
    assert result.unpriced == 0


def test_fruit_without_a_price_is_counted_and_brings_nothing() -> None:
    result = pack_out([[sixteen(500), loose_bulk(500)]] * 2, NET_G)
    assert result.unpriced == 2
    assert result.value_minor is not None
    assert result.value_minor.value == 1000 * 150


def test_without_any_price_there_is_no_value() -> None:
    result = pack_out([[loose_bulk(500)], [loose_bulk(400)]], NET_G)
    assert result.value_minor is None
    assert class_row(result, "II").value_minor is None


def test_rows_keep_the_order_asked_for_and_list_what_was_not_found() -> None:
    result = pack_out(DRAWS, NET_G, classes=["Extra", "I"], counts=[14, 16], outlets=["stock feed"])
    assert [row.class_id for row in result.classes] == ["Extra", "I", None]
    assert [(row.class_id, row.count) for row in result.cells] == [
        ("Extra", 14),
        ("Extra", 16),
        ("I", 14),
        ("I", 16),
    ]
    assert [row.outlet_id for row in result.outlets] == ["stock feed", "juice", None]


def test_what_was_not_found_may_still_be_there() -> None:
    extra = class_row(pack_out(DRAWS, NET_G, classes=["Extra"]), "Extra")
    assert extra.by_number.value == 0
    assert extra.by_number.low == 0
    assert extra.by_number.method is Method.LIKENESS
    for found in (extra.by_number, extra.by_weight, extra.mass_g, extra.value_minor):
        assert found is not None
        assert found.high is not None
        assert found.high > 0


def test_the_value_of_what_was_not_found_is_that_of_the_dearest_fruit() -> None:
    extra = class_row(pack_out(DRAWS, NET_G, classes=["Extra"]), "Extra")
    assert extra.value_minor is not None
    assert extra.by_number.high is not None
    assert extra.value_minor.high == extra.by_number.high * 2500 * 150


def test_class_fruit_sent_to_an_outlet_is_in_no_tray() -> None:
    sent_away = replace(sixteen(460), outlet_id="juice", packed=False)
    result = pack_out([[sixteen(460), sent_away]] * 2, NET_G)
    assert class_row(result, "I").by_number.value == 1
    assert cell_row(result, "I", 16).by_number.value == Fraction(1, 2)


def test_promised_trays_stay_below_the_expected_and_add_up_over_consignments() -> None:
    draws = [[sixteen(460)] * more + [juice(340)] * (10 - more) for more in (5, 6, 4, 6, 5, 4)]
    promise = promised_trays(draws, NET_G, "I", 16)
    expected = cell_row(pack_out(draws, NET_G), "I", 16).trays
    assert promise.value == expected.value
    assert promise.low is not None
    assert expected.low is not None
    assert 0 < expected.low < promise.low < promise.value
    together = total([promise, promised_trays(draws, 2 * NET_G, "I", 16)])
    assert together.low is not None
    assert 3 * promise.low < together.low < together.value


def test_one_bin_gives_figures_without_range_and_promises_nothing() -> None:
    result = pack_out(DRAWS[:1], NET_G)
    assert result.pack_out.low is None
    assert result.pack_out.method is Method.ONE_BIN
    assert promised_trays(DRAWS[:1], NET_G, "I", 16).low == 0


def test_a_draw_without_fruit_is_left_out() -> None:
    assert pack_out([*DRAWS, []], NET_G) == pack_out(DRAWS, NET_G)


@pytest.mark.parametrize(("draws", "net_g", "says"), [([[]], NET_G, "no fruit"), (DRAWS, 0, "more than 0 g")])
def test_no_fruit_and_no_weight_are_refused(draws: list[list[GradedFruit]], net_g: int, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        pack_out(draws, net_g)


FRUIT = st.one_of(
    st.builds(
        lambda weight_dg, class_id, count: GradedFruit(weight_dg, class_id, count, None, True, Fraction(150)),
        st.integers(800, 15_000),
        st.sampled_from(["I", "II"]),
        st.sampled_from([14, 16, 18]),
    ),
    st.builds(juice, st.integers(80, 1500), st.sampled_from([None, "I", "II"])),
)


@given(st.lists(st.lists(FRUIT, min_size=1, max_size=6), min_size=1, max_size=6), st.integers(1, 10**9))
def test_sums_meet_for_any_sample(draws: list[list[GradedFruit]], net_g: int) -> None:
    result = pack_out(draws, net_g, classes=["I", "II"], counts=[14, 16, 18])
    assert sum(row.by_number.value for row in result.classes) == 1
    assert sum(row.by_weight.value for row in result.classes) == 1
    assert sum(row.mass_g.value for row in result.classes) == net_g
    assert sum(row.mass_g.value for row in result.outlets) == net_g
    in_trays = sum(row.trays.value * row.count for row in result.cells)
    share_in_trays = sum(row.by_number.value for row in result.cells)
    assert in_trays == result.fruit.value * share_in_trays
    values = [row.value_minor.value for row in result.classes if row.value_minor is not None]
    assert result.value_minor is not None
    assert sum(values) == result.value_minor.value
    for row in result.classes:
        assert row.mass_g.high is None or row.mass_g.high <= net_g
