"""Areas, shares, whole numbers, colour stages, temperatures and orchard areas as people type them."""

from collections.abc import Sequence
from fractions import Fraction

from shedgrade.domain.entry.errors import EntryError, shown
from shedgrade.domain.entry.numbers import decimals, kept_whole, quantity
from shedgrade.domain.units import BP, DMM_PER_MM, MM2_PER_CM2, THIN, digits, round_half_up, say_area

OF_AREA = {
    **dict.fromkeys(["", "cm2", "cm²", "cm^2"], Fraction(MM2_PER_CM2)),
    **dict.fromkeys(["mm2", "mm²", "mm^2"], Fraction(1)),
}
OF_LENGTH = {**dict.fromkeys(["", "mm"], Fraction(DMM_PER_MM)), "cm": Fraction(10 * DMM_PER_MM)}
_LONGEST_MARK_DMM = 5000
WITHOUT_UNIT = {"": Fraction(1)}
OF_SHARE = WITHOUT_UNIT | {"%": Fraction(1)}
_M2_PER_HA = 10_000
_M2 = {
    **dict.fromkeys(["", "ha", "hectare", "hectares"], Fraction(_M2_PER_HA)),
    **dict.fromkeys(["m2", "m²", "m^2"], Fraction(1)),
    **dict.fromkeys(["ac", "acre", "acres"], Fraction(40_468_564_224, 10_000_000)),  # 4840 square yards of 0.9144 m
}
_LARGEST_BLOCK_HA = 10_000
_DEGREES = dict.fromkeys(["", "c", "°c", "℃", "f", "°f", "℉"], Fraction(1))
_COLDEST_DDEG, _HOTTEST_DDEG = -400, 1000


def area(text: str, *, largest_mm2: int) -> int:
    """The area of a blemish in mm², rounded half up; a bare number is cm². ``largest_mm2`` is the fruit's surface."""
    accepted = f"an area up to {say_area(largest_mm2)} is accepted"
    exact_mm2, unit = quantity(text, OF_AREA, accepted)
    area_mm2 = round_half_up(exact_mm2)
    if area_mm2 <= 0:
        raise EntryError(f"{shown(text)} is no area to measure", accepted)
    if area_mm2 > largest_mm2:
        found = f"{shown(text)} is more than the whole surface of this fruit, {say_area(largest_mm2)}"
        in_mm2 = exact_mm2 / MM2_PER_CM2
        is_slip = unit == "" and in_mm2.denominator == 1 and in_mm2 <= largest_mm2
        raise EntryError(found, f"did you mean {digits(in_mm2)}{THIN}mm²?" if is_slip else accepted)
    return area_mm2


def share(text: str) -> int:
    """A share in basis points, rounded half up; 12.5 and 12.5 % are the same. Above 0, up to 100 %."""
    accepted = f"a share above 0{THIN}%, up to 100{THIN}%, is accepted"
    percent, _ = quantity(text, OF_SHARE, accepted)
    share_bp = round_half_up(percent * BP / 100)
    if percent > 0 and share_bp == 0:
        raise EntryError(f"{shown(text)} is less than can be kept", f"a share from 0.01{THIN}% is accepted")
    if not 0 < percent <= 100:  # noqa: PLR2004 - percent
        raise EntryError(f"{shown(text)} is no share of a surface", accepted)
    return share_bp


def length(text: str) -> int:
    """A length of a mark in tenths of a millimetre; a bare number is mm, cm is understood. EntryError, also for more
    decimals than are kept."""
    accepted = f"a length up to {_LONGEST_MARK_DMM // DMM_PER_MM}{THIN}mm is accepted"
    exact, _ = quantity(text, OF_LENGTH, accepted)
    if not 0 < exact <= _LONGEST_MARK_DMM:
        raise EntryError(f"{shown(text)} is no length of a mark", accepted)
    return kept_whole(exact, text, "tenths of a mm", lambda step: Fraction(step, DMM_PER_MM) if step else None)


def whole(text: str, *, least: int, most: int) -> int:
    """A whole number from ``least`` to ``most``; EntryError."""
    accepted = f"a whole number from {digits(least)} to {digits(most)} is accepted"
    number = _whole_number(text, accepted)
    if not least <= number <= most:
        raise EntryError(f"{shown(text)} is too {'small' if number < least else 'big'}", accepted)
    return number


def stage(text: str, *, stages: Sequence[int]) -> int:
    """The number of a colour stage, one of ``stages`` (ascending); EntryError."""
    accepted = f"a stage from {stages[0]} to {stages[-1]} is accepted"
    number = _whole_number(text, accepted)
    if number not in stages:
        raise EntryError(f"{shown(text)} is no stage of this colour scale", accepted)
    return number


def temperature(text: str) -> int:
    """Tenths of a degree Celsius, rounded half up; a bare number is °C, °F is understood. -40 to 100 °C."""
    accepted = f"a temperature from {digits(_COLDEST_DDEG // 10)} to {digits(_HOTTEST_DDEG // 10)}{THIN}°C is accepted"
    degrees, unit = quantity(text, _DEGREES, accepted)
    celsius = (degrees - 32) * Fraction(5, 9) if unit.endswith(("f", "℉")) else degrees
    tenths = round_half_up(celsius * 10)
    if not _COLDEST_DDEG <= tenths <= _HOTTEST_DDEG:
        raise EntryError(f"{shown(text)} is too {'cold' if tenths < 0 else 'hot'} to be true", accepted)
    return tenths


def hectares(text: str) -> int:
    """The area of a block in m², rounded half up; a bare number is hectares, m2 and acres are understood."""
    accepted = f"an area above 0, up to {digits(_LARGEST_BLOCK_HA)}{THIN}ha, is accepted"
    exact_m2, _ = quantity(text, _M2, accepted)
    area_m2 = round_half_up(exact_m2)
    if not 0 < area_m2 <= _LARGEST_BLOCK_HA * _M2_PER_HA:
        raise EntryError(f"{shown(text)} is no area of a block", accepted)
    return area_m2


def _whole_number(text: str, accepted: str) -> int:
    number, _ = quantity(text, WITHOUT_UNIT, accepted)
    if decimals(text):  # "1,000" may well mean a thousand, and must not become 1
        raise EntryError(f"{shown(text)} is not a whole number", accepted)
    return int(number)
