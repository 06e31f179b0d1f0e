"""What stands in the history, and what people call it; and for every other table why it does not."""

from collections.abc import Mapping

from sqlmodel import SQLModel

from shedgrade.storage import tables

NOUNS: Mapping[type[SQLModel], str] = {
    tables.Grower: "grower",
    tables.Block: "block",
    tables.BinType: "bin type",
    tables.Tare: "tare",
    tables.Docket: "docket",
    tables.Consignment: "consignment",
    tables.EmptiesWeighing: "wet empties",
    tables.Sample: "sample",
    tables.FruitRow: "fruit",
    tables.MaturityTest: "maturity test",
    tables.QuickLook: "quick look",
    tables.Photo: "photo",
    tables.TrayTypeRow: "tray type",
    tables.Run: "run",
    tables.SharedBinRow: "shared bin",
    tables.Market: "market",
    tables.PriceList: "price list",
    tables.Quote: "quote",
    tables.SpecVersion: "spec",
    tables.SpecRetirement: "spec",  # told with the version it is about
    tables.SpecConfirmation: "spec",
    tables.SpecDraft: "spec draft",
    tables.PersonRow: "person",
    tables.PersonRole: "person",  # a role is told with its person
    tables.SettingRow: "setting",
    tables.Tablet: "tablet",
    tables.Scale: "scale",
}

# The ending of a sign-in is told of the person whose it was, under this name and their id.
SIGN_IN = "sign-in"

# Rows that come with one of these and are never changed afterwards: what came is told with it. A session that changes
# or removes one is refused.
WRITTEN_ONCE: Mapping[type[SQLModel], str] = {
    tables.Weighing: "a gross weight of its consignment, which tells how many bins came and what they weighed",
    tables.Bin: "a bin of its consignment",
    tables.FruitCapture: "how its fruit came in, which its own page tells",
    tables.FruitDefect: "a fact of its fruit, which says itself who measured it and when",
    tables.FruitMeasure: "a fact of its fruit, which says itself who measured it and when",
    tables.MaturityReading: "a reading of its maturity test, which tells the means",
    tables.SpecDraftText: "a text of its draft, which tells what changed",
    tables.TrayCount: "a count of its tray type, which tells them all",
    tables.TrayPrice: "a price of its list, which tells how many there are and which changed",
    tables.OutletPrice: "a price of its list, which tells how many there are and which changed",
    tables.RunLoad: "a consignment of its run, which tells them all",
    tables.RunTray: "a tray type of its run, which tells them all",
    tables.RunBreak: "a size break of its run's stretch, begun by an entry that says itself by whom and when",
    tables.RunEvent: "an entry of its run that says itself by whom and when; a wrong one gets a counter-entry",
    tables.RunLeft: "what was left when its run's line was cleared",
    tables.QuoteSource: "a consignment its quote draws on",
    tables.QuoteLine: "a line of its quote",
    tables.QuoteHold: "the trays its quote's line holds",
}

NOT_RECORDED: Mapping[type[SQLModel], str] = {
    tables.MarketTray: "its market tells the tray types it takes, before and after, as one change",
    tables.Draw: "the bin or tray that fruit of its sample came from: it stays from the first fruit on",
    tables.QuickLookFruit: "a tap of its quick look that says itself by whom and when; one undone is noted",
    tables.RunTally: "a sum over the entries of its run",
    tables.PostedForm: "no record: it keeps a form sent twice from being stored twice",
    tables.SignIn: "says itself who, where, from when to when; ending it in the list of devices is noted",
    tables.FailedTries: "no record: a count that makes guessing slow",
    tables.PairingCode: "no record: it is shown for some minutes; the scale paired by it is told",
    tables.ScaleReading: "no record: its fruit is one",
    tables.Change: "the history itself",
}

# Told as new or taken away, never with the value.
SECRETS = frozenset({"password_hash", "pin_hash", "token_sha256"})
# The version counts the changes; a published spec's text is kept once, of a draft's its action tells what changed; the
# pixels of a photo stand in the photo.
NOT_TOLD = frozenset({"id", "version", "content"})
