"""Lines of scales. All of them are common practice of the trade, no source; the weights were worked out by hand."""

from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shedgrade.domain import entry
from shedgrade.domain.entry.scale import Mark
from shedgrade.domain.entry.scale_line import LONGEST, ScaleLine, scale_line, split
from shedgrade.domain.units import round_half_up

# Common practice of the trade, no source. The line, its weight in tenths of a gram, whether it says that it is settled.
WEIGHTS: list[tuple[bytes, int, bool]] = [
    (b"412", 4120, False),
    (b"412\r\n", 4120, False),
    (b"412\r", 4120, False),
    (b"412\n", 4120, False),
    (b"412.5", 4125, False),
    (b"  412.5 \r\n", 4125, False),
    (b"412,5\r\n", 4125, False),
    (b"+412.5 g\r\n", 4125, False),
    (b"+  412.5 g", 4125, False),
    (b"412.5g", 4125, False),
    (b"412.5 G", 4125, False),
    (b"000412.5", 4125, False),
    (b".5 kg", 5000, False),
    (b"412. g", 4120, False),
    (b"0.4125 kg", 4125, False),
    (b"0,4125kg", 4125, False),
    (b"4.876 KG", 48_760, False),
    (b"0.0 g", 0, False),
    (b"-0.0 g", 0, False),
    (b"-  12.3 g", -123, False),
    (b"412.54 g", 4125, False),
    (b"412.55 g", 4126, False),  # half up to the tenth of a gram
    (b"-412.55 g", -4126, False),
    (b"0.41255 kg", 4126, False),
    (b"1 lb", 4536, False),  # 453.592 37 g
    (b"1.000lb", 4536, False),
    (b"2 lbs", 9072, False),  # 907.184 74 g
    (b"16 oz", 4536, False),
    (b"1 oz", 283, False),  # 28.349 523 125 g
    (b"14.55 oz", 4125, False),  # 412.485 561... g
    (b"1 lb 3.2 oz", 5443, False),  # 453.592 37 + 90.718 474 g
    (b"ST 1lb 3.2oz\r\n", 5443, True),
    (b"ST,GS,+  4.876kg\r\n", 48_760, True),
    (b"ST,GS,+0004.876kg", 48_760, True),
    (b"ST,NT,+  0.412kg\r\n", 4120, True),
    (b"ST,NT,-  0.012kg\r\n", -120, True),
    (b"ST,GS,  412.5  g\r\n", 4125, True),
    (b"ST,+00412.5 g\r\n", 4125, True),
    (b"ST, 412,5 g", 4125, True),
    (b"ST,GS,412.5,g", 4125, True),
    (b"st,gs,+412.5 g", 4125, True),
    (b"ST;GS;+412.5 g", 4125, True),
    (b"GS 412.5 g", 4125, False),
    (b"GROSS 412.5 g", 4125, False),
    (b"NET   412.5 g", 4125, False),
    (b"Net: 412.5 g", 4125, False),
    (b"S S      412.5 g\r\n", 4125, True),
    (b"S      412.5 g", 4125, True),
    (b"STABLE 412.5 g", 4125, True),
    (b"412.5 g ST", 4125, True),
    (b"N     412.5 g", 4125, False),
    (b"G     412.5 g", 4125, False),
    (b"G     412.5", 4125, False),
    (b"* 412.5 g", 4125, False),
    (b"=412.5", 4125, False),
    (b"= 412.5 g", 4125, False),
    (b"KG 0.412", 4120, False),
    (b"Weight: 412.5 g", 4125, False),
    (b"Gross weight   412.5 g", 4125, False),
    (b"01,ST,GS,+ 412.5 g", 4125, True),
    (b"No. 3 ST 412.5 g", 4125, True),
    (b"2026-11-30 14:02:15 412.5 g", 4125, False),
    (b"30/11/26 14:02 ST 412.5 g", 4125, True),
    (b"\x02+0000412G\x03", 4120, False),  # G in a frame is gross
    (b"\x02+0000412N\x03", 4120, False),
    (b"\x02-0000012N\x03", -120, False),
    (b"\x02 0412.5\x03", 4125, False),
    (b"\x02ST,GS,+ 0.4125kg\x03\r\n", 4125, True),
    (b"\x02412.5 g\r", 4125, False),
    (b"\x01412.5 g\x04", 4125, False),
    (b"\x00\x00412.5 g\x00", 4125, False),
    (bytes(code | 0x80 for code in b"412.5 g\r\n"), 4125, False),  # seven bits and parity, read as eight
    (b"4\xb12.\xb5 g", 4125, False),
]

# Common practice of the trade, no source. Lines that are no reading, each told apart.
NO_READING: list[tuple[bytes, Mark]] = [
    (b"US,GS,+  0.412kg\r\n", Mark.MOVING),
    (b"US,NT,+  0.412kg", Mark.MOVING),
    (b"US 412.5 g", Mark.MOVING),
    (b"UNSTABLE 412.5 g", Mark.MOVING),
    (b"S D      411.8 g", Mark.MOVING),
    (b"412.5 g ?", Mark.MOVING),
    (b"? 412.5 g", Mark.MOVING),
    (b"412.5 M", Mark.MOVING),
    (b"OL", Mark.OVER),
    (b"OL\r\n", Mark.OVER),
    (b"OL,GS,+999999kg", Mark.OVER),
    (b"OL,GS,+      kg", Mark.OVER),
    (b"OVER", Mark.OVER),
    (b"OVERLOAD", Mark.OVER),
    (b"H", Mark.OVER),
    (b"HHHHHH", Mark.OVER),
    (b"^^^^^^", Mark.OVER),
    (b"S +", Mark.OVER),
    (b"\x02+0000412O\x03", Mark.OVER),
    (b"\x02       O\x03", Mark.OVER),
    (b"US,OL,+  0.412kg", Mark.OVER),
    (b"UL", Mark.UNDER),
    (b"UNDER", Mark.UNDER),
    (b"UNDERLOAD 0.0 g", Mark.UNDER),
    (b"L", Mark.UNDER),
    (b"LLLLLL", Mark.UNDER),
    (b"______", Mark.UNDER),
    (b"S -", Mark.UNDER),
    (b"\x02-0000012U\x03", Mark.UNDER),
    (b"Err", Mark.FAULT),
    (b"ERROR 3", Mark.FAULT),
    (b"EEEE", Mark.FAULT),
    (b"S I", Mark.FAULT),
    (b"\x02+0000412E\x03", Mark.FAULT),
    (b"----", Mark.BLANK),
    (b"------ g", Mark.BLANK),
    (b"TR,+  0.100kg", Mark.TARE),
    (b"PT 10.0 g", Mark.TARE),
    (b"TARE 10.0 g", Mark.TARE),
    (b"Tare: 10.0 g", Mark.TARE),
    (b"T 10.0 g", Mark.TARE),
    (b"t 10.0 g", Mark.UNCLEAR),
    (b"Tara 10.0 g", Mark.UNCLEAR),
    (b"", Mark.UNCLEAR),
    (b" \r\n", Mark.UNCLEAR),
    (b"hello", Mark.UNCLEAR),
    (b"ready", Mark.UNCLEAR),
    (b"ST", Mark.UNCLEAR),
    (b"ST,GS,", Mark.UNCLEAR),
    (b"g", Mark.UNCLEAR),
    (b"12 pcs", Mark.UNCLEAR),
    (b"Count: 12", Mark.UNCLEAR),
    (b"85 %", Mark.UNCLEAR),
    (b"412 413", Mark.UNCLEAR),
    (b"1 460 g", Mark.UNCLEAR),  # 1460, or 460 from scale 1
    (b"402.5 g 412.5 g", Mark.UNCLEAR),
    (b"1 lb 3 oz 12 g", Mark.UNCLEAR),
    (b"1,234.5 g", Mark.UNCLEAR),
    (b"1.2.3", Mark.UNCLEAR),
    (b"192.168.1.20", Mark.UNCLEAR),
    (b"412.5 mg", Mark.UNCLEAR),
    (b"Max 3000 g", Mark.UNCLEAR),
    (b"TOTAL 4125.0 g", Mark.UNCLEAR),
    (b"9" * 70, Mark.UNCLEAR),
    (b"\xff\xfe\x80", Mark.UNCLEAR),
]


@pytest.mark.parametrize(("line", "weight_dg", "says_settled"), WEIGHTS)
def test_a_line_gives_its_weight(line: bytes, weight_dg: int, says_settled: bool) -> None:
    assert scale_line(line) == ScaleLine(weight_dg, Mark.FINE, says_settled)


@pytest.mark.parametrize(("line", "mark"), NO_READING)
def test_a_line_that_is_no_reading_says_why(line: bytes, mark: Mark) -> None:
    assert scale_line(line) == ScaleLine(None, mark)


@pytest.mark.parametrize(
    ("line", "unit", "weight_dg"),
    [(b"0.412", "kg", 4120), (b"\x02+00.412G\x03", "kg", 4120), (b"412", "g", 4120), (b"1", "lb", 4536)],
)
def test_a_number_without_a_unit_has_the_one_that_the_scale_is_set_to(line: bytes, unit: str, weight_dg: int) -> None:
    assert scale_line(line, unit).weight_dg == weight_dg


# The international yard and pound agreement of 1959: a pound is 0.453 592 37 kg, an ounce its sixteenth.
@given(hundredths=st.integers(0, 100_000))
def test_pounds_and_ounces_are_exact(hundredths: int) -> None:
    number = f"{hundredths // 100}.{hundredths % 100:02}"
    grams = Fraction(hundredths, 100) * Fraction(45_359_237, 100_000)
    assert scale_line(f"ST {number} lb".encode()).weight_dg == round_half_up(grams * 10)
    assert scale_line(f"ST {number} oz".encode()).weight_dg == round_half_up(grams / 16 * 10)


@given(
    st.binary(max_size=80)
    | st.text("0123456789 .,+-eEgGkKlLbozSTUOMD?=*^_\x02\x03\r\n\xb1", max_size=30).map(
        lambda text: text.encode("latin-1")
    )
)
@example(b"9" * 5000)
@example(b"+ .")
@example(b".")
def test_any_bytes_give_a_weight_or_a_reason(sent: bytes) -> None:
    read = scale_line(sent)
    assert (read.weight_dg is None) is (read.mark is not Mark.FINE)
    assert read.weight_dg is not None or not read.says_settled


# The box is stricter where a person may have typed: no second number, nothing below zero.
@pytest.mark.parametrize(
    "line",
    [
        b"412.5 g\r\n",
        b"ST,GS,+  4.876kg\r\n",
        b"ST,NT,+  0.412kg\r\n",
        b"S S      412.5 g\r\n",
        b"STABLE 412.5 g",
        b"\x02+0000412G\x03",
        b"14.55 oz",
        b"1.000lb",
    ],
)
def test_what_the_weight_box_takes_from_a_settled_scale_is_the_same_weight(line: bytes) -> None:
    assert (
        entry.weight(line.decode("ascii"), lightest_dg=1, heaviest_dg=None, fruit_name="fruit")
        == scale_line(line).weight_dg
    )


@given(
    lines=st.lists(st.sampled_from([line.strip(b"\r\n\x03\x04") for line, *_ in WEIGHTS]), max_size=9),
    end=st.sampled_from([b"\r\n", b"\r", b"\n", b"\x03", b"\x03\r\n"]),
    at=st.integers(0, 400),
)
def test_a_stream_is_cut_into_its_lines_wherever_it_is_broken(lines: list[bytes], end: bytes, at: int) -> None:
    stream = b"".join(line + end for line in lines)
    first, begun = split(stream[:at])
    second, rest = split(begun + stream[at:])
    assert [scale_line(line) for line in first + second] == [scale_line(line) for line in lines]
    assert rest == b""


@given(st.binary())
def test_noise_never_piles_up(noise: bytes) -> None:
    lines, begun = split(noise * 50)
    assert len(begun) <= LONGEST
    assert all(line.strip() for line in lines)
