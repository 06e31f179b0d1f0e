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
from shedgrade.storage.tables.photos import Photo
from shedgrade.storage.tables.posted import PostedForm
from shedgrade.storage.tables.quick_looks import QuickLook, QuickLookFruit
from shedgrade.storage.tables.quotes import Quote, QuoteHold, QuoteLine, QuoteSource
from shedgrade.storage.tables.runs import (
    Run,
    RunBreak,
    RunEvent,
    RunLeft,
    RunLoad,
    RunTally,
    RunTray,
    SharedBinRow,
)
from shedgrade.storage.tables.samples import Draw, FruitCapture, FruitDefect, FruitMeasure, FruitRow, Sample
from shedgrade.storage.tables.scales import PairingCode, Scale, ScaleReading
from shedgrade.storage.tables.settings import SettingRow
from shedgrade.storage.tables.sign_ins import FailedTries, SignIn, Tablet
from shedgrade.storage.tables.specs import SpecConfirmation, SpecDraft, SpecDraftText, SpecRetirement, SpecVersion
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
    "PairingCode",
    "PersonRole",
    "PersonRow",
    "Photo",
    "PostedForm",
    "PriceList",
    "QuickLook",
    "QuickLookFruit",
    "Quote",
    "QuoteHold",
    "QuoteLine",
    "QuoteSource",
    "Run",
    "RunBreak",
    "RunEvent",
    "RunLeft",
    "RunLoad",
    "RunTally",
    "RunTray",
    "Sample",
    "Scale",
    "ScaleReading",
    "SettingRow",
    "SharedBinRow",
    "SignIn",
    "SpecConfirmation",
    "SpecDraft",
    "SpecDraftText",
    "SpecRetirement",
    "SpecVersion",
    "Tablet",
    "Tare",
    "TrayCount",
    "TrayPrice",
    "TrayTypeRow",
    "Weighing",
]
