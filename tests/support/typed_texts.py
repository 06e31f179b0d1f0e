"""Seeded fields of a fruit as people, scales and slips type them."""

from fractions import Fraction
from random import Random
from typing import Any

from shedgrade.domain.crop import CropMeasure, DefectKind, Measured, TakenOn
from shedgrade.domain.fruit_entry import Typed
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import DG_PER_G

_SIGNS = "0123456789 .,+-eEgGkKlLbozZtTMSUHO?*%/:^_cm\x02\x03\r\n\t²½°é−–\u00a0\u202f\u2009\u3000\x1f\x85ж"
_LINES = (
    "ST,GS,+  {}kg", "US,NT,+  {}kg", "S S      {} g", "S D      {} g", "S I", "S +", "S -", "\x02+{}G\x03",
    "\x02 {} N\x03", "\x02{}E\x03", "{}?", "{} M", "OL", "UL", "OVER", "----", "^^^^", "Err", "TR {} g", "GROSS {} g",
    "N {}kg", "{} G", "HHHH", "* {} g", "ST {}", "{} g ST,", "E {}", "\x02{}g\x03", "+{} g#", "net  {}",
)  # fmt: skip
_SETTLED = ("ST,GS,+  {}g", "S S      {} g", "\x02+{}G\x03", "\x02 {} N\x03", "* {} g", "N {}g", "+{} g#", "ST {}")
_UNITS_OF_WEIGHT = ("", " g", "g", " grams", " G", "gram")
_ODD_UNITS = (" kgs", " lb", "oz", " stone", " mg", "gg")
_UNITS_OF = {
    Measured.AREA: ("", " cm2", "cm²", " mm2", " mm^2", "CM2", " c m 2"),
    Measured.SHARE: ("", "%", " %", " % "),
    Measured.LENGTH: ("", " mm", "cm", " CM"),
    Measured.PLACES: ("",),
}
_MARKED: tuple[str, ...] = ("1", "2", "0.5", "1,2", "3.5", "7", "01", " 2 ", "4.")
_PLACES: tuple[str, ...] = ("1", "2", "12")
_ODD_MARKS = ("10", "12", "100", "0.001", "0", "-1", "1 000", "1.005", "33.333", "200")
_WORDS = ("yes", "X", "1", "there", "no", "", "0", "-", " Y ", "TRUE", "nil")
_ODD_WORDS = ("maybe", "\uff12", "yess", "2")


class TypedMaker:
    """Typed fruit for a spec, always the same for the same seed: half of them with care, the rest with slips."""

    def __init__(self, spec: Spec, seed: int) -> None:
        self.spec = spec
        self.chance = Random(f"{spec.id} typed {seed}")
        self.careless = False

    def typed(self) -> Typed:
        crop, chance = self.spec.crop, self.chance
        self.careless = chance.random() < 0.5
        kinds = chance.sample(crop.kinds, min(len(crop.kinds), chance.choice([0, 0, 1, 1, 2, 3])))
        measures = [each for each in crop.measures if each.on is TakenOn.FRUIT and chance.random() < 0.7]
        ticked = [kind.id for kind in crop.kinds if self.careless and chance.random() < 0.05]
        return Typed(
            weight=self._weight(),
            stage=self._stage(),
            size_code=self._code(),
            marks={**{kind.id: self._mark(kind) for kind in kinds}, **self._unknown("moon", "1")},
            ticked=[*ticked, *self._unknown("sun", "")],
            states={kind.id: self._states(kind) for kind in kinds if kind.states} | self._unknown("wind", ["calm"]),
            measures={each.id: self._measure(each) for each in measures} | self._unknown("length of day", "8"),
        )

    def _unknown(self, name: str, value: Any) -> dict[str, Any]:
        return {name: value} if self.careless and self.chance.random() < 0.02 else {}

    def _weight(self) -> str:
        crop, chance = self.spec.crop, self.chance
        lightest, heaviest = crop.lightest_dg, crop.heaviest_dg or 20_000
        weight_dg = chance.randint(lightest, heaviest)
        if self.careless and chance.random() < 0.2:
            weight_dg = chance.choice([lightest - 1, heaviest + 1, lightest * 10, heaviest // 10, heaviest * 1000])
        grams, kilograms = self._decimal(weight_dg, DG_PER_G), self._decimal(weight_dg, 10_000)
        well = [
            grams,
            grams + chance.choice(_UNITS_OF_WEIGHT),
            kilograms + chance.choice([" kg", "kg", "KG", " kilo"]),
            chance.choice(_SETTLED).format(grams),
        ]
        odd = [
            grams + chance.choice(_ODD_UNITS),
            kilograms,
            chance.choice(_LINES).format(grams),
            chance.choice(_LINES).format(kilograms),
            self._slip(grams),
            self._slip(chance.choice(_LINES).format(grams)),
            self._garbage(),
        ]
        return chance.choice(well * 2 + odd if self.careless else well)

    def _decimal(self, number: int, per: int) -> str:
        """A number as written, with a point or a comma, maybe with thousands set apart."""
        places = len(str(per)) - 1
        whole, part = divmod(max(number, 0), per)
        said = f"{whole:,}".replace(",", self.chance.choice(["", "", "", " ", "\u202f"]))
        if not part and self.chance.random() < 0.8:
            return said
        decimals = f"{part:0{places}d}" + self.chance.choice(["", "", "", "4", "5", "0"])
        return f"{said}{self.chance.choice('.,')}{decimals}"

    def _slip(self, text: str) -> str:
        place, sign = self.chance.randint(0, len(text)), self.chance.choice(_SIGNS + "OIl")
        return text[:place] + sign + text[place + self.chance.randint(0, 1) :]

    def _garbage(self) -> str:
        return "".join(self.chance.choices(_SIGNS, k=self.chance.choice([0, 1, 2, 3, 5, 8, 13, 30, 70])))

    def _stage(self) -> str:
        stages = [str(stage.number) for stage in self.spec.crop.stages] or [""]
        odd = ["", " 2 ", "9", "2.0", "1,000", "green", "-1", self._garbage()]
        return self.chance.choice(stages * 3 + odd if self.careless else stages)

    def _code(self) -> str:
        if self.chance.random() < 0.8:
            return ""
        names = [band.name for band in self.spec.scale.bands]
        return self.chance.choice([*names, " A ", "none such", self._garbage()] if self.careless else [*names, ""])

    def _mark(self, kind: DefectKind) -> str:
        chance = self.chance
        if kind.measure is Measured.PRESENT:
            return chance.choice([*_WORDS, *_ODD_WORDS, self._garbage()] if self.careless else _WORDS)
        number = chance.choice([1, 1, 1, 1, 2, 3])
        units = _UNITS_OF[kind.measure]
        marks = _MARKED if kind.measure is not Measured.PLACES else _PLACES
        if self.careless:
            number = chance.choice([1, 1, 1, 2, 51]) if chance.random() < 0.1 else number
            units, marks = (*units, *chance.choice(list(_UNITS_OF.values())), " places"), (*_MARKED, *_ODD_MARKS)
        first = chance.choice(units)
        each = [chance.choice(marks) + (chance.choice(units) if self.careless else first) for _ in range(number)]
        text = chance.choice(["", "", "+", " "]) + chance.choice(["+", " + "]).join(each)
        return chance.choice([text, text, self._slip(text), self._garbage(), "0 cm2"] if self.careless else [text, ""])

    def _states(self, kind: DefectKind) -> list[str]:
        return self.chance.sample(kind.states, self.chance.randint(0, len(kind.states)))

    def _measure(self, measure: CropMeasure) -> str:
        chance, unit = self.chance, measure.unit
        low, high = measure.plausible.low or Fraction(0), measure.plausible.high or 3 * unit.base
        figure = low + (high - low) * Fraction(chance.randint(0, 100), 100)
        if self.careless and chance.random() < 0.3:
            figure = chance.choice([low, high]) + chance.choice([-1, 0, 1])
        text = self._decimal(int(figure / unit.base * 10), 10) + chance.choice(["", f" {unit}", unit.upper()])
        return chance.choice([text, "", self._slip(text), self._garbage(), text + "7"] if self.careless else [text, ""])
