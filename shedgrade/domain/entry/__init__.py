"""The one parser of typed, imported and weighed values: text in, a whole number of our units or a clear refusal out.

Bench, CSV files and scales all come through here. Every function returns its value or raises :class:`EntryError`,
whose text is a sentence for the person who typed; no text makes any of them raise anything else. Decimals may be
written with a point or with one comma, thousands may be set apart by spaces.
"""

from shedgrade.domain.entry.amounts import area, hectares, length, share, stage, temperature, whole
from shedgrade.domain.entry.days import date, moment
from shedgrade.domain.entry.errors import EntryError, NoReading
from shedgrade.domain.entry.figures import figure, figures, mean
from shedgrade.domain.entry.money import money
from shedgrade.domain.entry.weight import mass, weight

__all__ = [
    "EntryError",
    "NoReading",
    "area",
    "date",
    "figure",
    "figures",
    "hectares",
    "length",
    "mass",
    "mean",
    "moment",
    "money",
    "share",
    "stage",
    "temperature",
    "weight",
    "whole",
]
