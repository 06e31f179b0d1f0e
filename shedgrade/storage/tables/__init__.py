"""Every table, one file a noun. Rules stand here as CHECK and UNIQUE, whoever writes the row."""

from shedgrade.storage.tables.growers import Block, Grower
from shedgrade.storage.tables.history import Change
from shedgrade.storage.tables.intake import (
    Bin,
    BinType,
    Consignment,
    Docket,
    EmptiesWeighing,
    Tare,
    Weighing,
)
from shedgrade.storage.tables.markets import (
    Market,
    MarketTray,
    OutletPrice,
    PriceList,
    TrayPrice,
)
from shedgrade.storage.tables.maturity import MaturityReading, MaturityTest
from shedgrade.storage.tables.people import PersonRole, PersonRow
from shedgrade.storage.tables.posted import PostedForm
from shedgrade.storage.tables.quotes import Quote, QuoteHold, QuoteLine, QuoteSource
from shedgrade.storage.tables.samples import Draw, FruitCapture, FruitDefect, FruitMeasure, FruitRow, Sample
from shedgrade.storage.tables.settings import SettingRow
from shedgrade.storage.tables.sign_ins import FailedTries, SignIn, Tablet
from shedgrade.storage.tables.specs import SpecConfirmation, SpecDraft, SpecRetirement, SpecVersion
from shedgrade.storage.tables.trays import TrayCount, TrayTypeRow

__all__ = [
    "Bin",
    "BinType",
    "Block",
    "Change",
    "Consignment",
    "Docket",
    "Draw",
    "EmptiesWeighing",
    "FailedTries",
    "FruitCapture",
    "FruitDefect",
    "FruitMeasure",
    "FruitRow",
    "Grower",
    "Market",
    "MarketTray",
    "MaturityReading",
    "MaturityTest",
    "OutletPrice",
    "PersonRole",
    "PersonRow",
    "PostedForm",
    "PriceList",
    "Quote",
    "QuoteHold",
    "QuoteLine",
    "QuoteSource",
    "Sample",
    "SettingRow",
    "SignIn",
    "SpecConfirmation",
    "SpecDraft",
    "SpecRetirement",
    "SpecVersion",
    "Tablet",
    "Tare",
    "TrayCount",
    "TrayPrice",
    "TrayTypeRow",
    "Weighing",
]
