"""An invented market spec that uses what no published standard here does: colour stages, strict ends, no size codes."""

MARKET = """\
id = "market-kestrow"
title = "Mango, Kestrow Markets"
crop = "mango"
edition = "3"

[source]
standard = "Kestrow Markets, mango"
edition = "3"
mark = "read"
note = "invented"

[[class]]
id = "one"
name = "Class one"

[[class]]
id = "two"
name = "Class two"

[[limit]]
id = "colour"
name = "colour stage"
of = "colour stage"
take = "value"
rows = [
  { class = "one", to = ">= 3 and <= 5" },
  { class = "two", to = ">= 2" },
]

[[limit]]
id = "weight"
name = "weight"
of = "weight"
take = "value"
to = "> 250 g and < 900 g"

[[limit]]
id = "blemish"
name = "blemish"
of = ["sap-stain", "rub"]
take = "sum"
by = "share"
rows = [
  { class = "one", to = "<= 1/100" },
  { class = "two", to = "< 5 %", mark = "our reading" },
]

[[limit]]
id = "few"
name = "kinds of defect"
of = ["sap-stain", "rub", "sunburn"]
take = "present"
to = "<= 2"

[[limit]]
id = "rot"
name = "rot"
of = "rot"
take = "present"
to = "nil"

[[outlet]]
id = "loose"
name = "Loose bulk"
packed = true
takes = ["too light", "weight"]

[[outlet]]
id = "juice"
name = "Juice"
packed = false
takes = ["no class", "too heavy"]
"""
