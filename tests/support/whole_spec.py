"""An invented crop and an invented spec of it that use every concept of the language once or more."""

from shedgrade.domain.spec.text import read_crop, read_spec

QUELL_CROP = """\
id = "quell"
name = "Quell"
plausible = ">= 20 g and <= 900 g"
varieties = ["Early Quell", "Long Quell"]

[source]
standard = "made up for the tests"
edition = "1"
mark = "our reading"
on = "2026-03-01"

[[kind]]
id = "scar"
name = "scar"
group = "field"
measure = "area"
states = ["progressive", "into flesh"]

[[kind]]
id = "scald"
name = "scald"
group = "field"
measure = "area"
states = ["progressive"]

[[kind]]
id = "russet"
name = "russet"
group = "field"
measure = "share"

[[kind]]
id = "crack"
name = "crack"
group = "field"
measure = "length"

[[kind]]
id = "spots"
name = "spots"
group = "field"
measure = "places"

[[kind]]
id = "rot"
name = "rot"
group = "rot"
measure = "present"

[[measure]]
id = "width"
name = "width"
unit = "mm"
on = "fruit"
plausible = ">= 20 mm and <= 120 mm"

[[measure]]
id = "least-width"
name = "least width"
unit = "mm"
on = "fruit"
plausible = ">= 20 mm and <= 120 mm"

[[measure]]
id = "good-colour"
name = "good colour"
unit = "%"
on = "fruit"
plausible = "<= 100 %"

[[measure]]
id = "pale-colour"
name = "pale colour"
unit = "%"
on = "fruit"
plausible = "<= 100 %"

[[measure]]
id = "brix"
name = "sugar"
unit = "Brix"
on = "sample"
plausible = "<= 30 Brix"

[[measure]]
id = "acid"
name = "acid"
unit = "%"
on = "sample"
plausible = "<= 10 %"

[[measure]]
id = "dry-matter"
name = "dry matter"
unit = "%"
on = "sample"
plausible = "<= 60 %"

[[measure]]
id = "firmness"
name = "firmness"
unit = ""
on = "load"
plausible = "<= 20"

[[stage]]
number = 1
name = "green"
description = "green all over"

[[stage]]
number = 2
name = "turning"
description = "some yellow"
"""

QUELL_SPEC = """\
id = "quell-export"
title = "Quell, everything at once"
crop = "quell"
edition = "1"
notes = ["Invented.", "Not for trade."]

[source]
standard = "Quell export rules"
edition = "1"
section = "2"
mark = "our reading"
note = "invented"
address = "https://rules.example/quell"
on = "2026-03-01"

[[class]]
id = "I"
name = "Class I"

[[class]]
id = "II"
name = "Class II"

[scale]
of = "width"
rounding = "half up to the millimetre"
section = "3"
bands = [
  { name = "A", variety = "Early Quell", to = ">= 40 mm and <= 60 mm" },
  { name = "A", variety = "Long Quell", to = ">= 35 mm and <= 55 mm" },
  { name = "B", to = ">= 55 mm and <= 80 mm", mark = "inferred" },
]

[[severity]]
id = "scarring"
name = "scarring"
of = ["scar", "scald"]
take = "sum"
by = "area"
steps = [
  { name = "slight", to = "< 1 cm2" },
  { name = "moderate", to = ">= 1 cm2 and <= 3 cm2" },
  { name = "severe", to = "> 3 cm2", note = "invented" },
]

[[severity]]
id = "spotting"
name = "spotting"
of = "spots"
take = "places"
steps = [
  { name = "few", to = "< 6" },
  { name = "many", to = ">= 6" },
]

[[limit]]
id = "least-weight"
name = "weight"
of = "weight"
take = "value"
rows = [
  { class = "I", presentation = "layers", to = ">= 90 g" },
  { class = ["I", "II"], to = ">= 65 g" },
]

[[limit]]
id = "colour"
name = "good colour"
of = "good-colour"
take = "value"
rows = [
  { class = "I", variety = "Early Quell", to = ">= 50 %" },
  { class = "I", to = ">= 1/3" },
]
or_else = [
  { of = ["good-colour", "pale-colour"], take = "sum", rows = [{ class = "I", to = ">= 66 %" }] },
]

[[limit]]
id = "stage"
name = "colour stage"
of = "colour stage"
take = "value"
to = ">= 1"

[[limit]]
id = "skin"
name = "skin"
of = ["scar", "scald"]
take = "sum"
by = "area"
as_on = { of = "width", size = "63.5 mm" }
rows = [
  { class = "I", size = "A", to = "<= 1 circle of 12 mm" },
  { class = "I", to = "<= 2 circles of 12.5 mm" },
  { class = "II", to = "<= 6 cm2" },
]

[[limit]]
id = "one-scar"
name = "largest scar"
of = "scar"
take = "largest"
by = "area"
as_on = { of = "weight", size = "100 g" }
to = "<= 3 cm2"

[[limit]]
id = "progressive"
name = "progressive marks"
of = ["scar", "scald"]
take = "sum"
by = "area"
state = ["progressive", "into flesh"]
to = "nil"

[[limit]]
id = "cracks"
name = "cracks"
of = "crack"
take = "sum"
by = "length"
to = "<= 10 mm"

[[limit]]
id = "russet"
name = "russet"
of = "russet"
take = "sum"
by = "share"
to = "<= 10 %"

[[limit]]
id = "rot"
name = "rot"
of = "rot"
take = "present"
to = "nil"

[[limit]]
id = "spots"
name = "spots"
of = "spots"
take = "places"
to = "< 6"
or_else = [{ of = "scar", take = "sum", by = "area", to = "<= 1 cm2" }]

[[limit]]
id = "scarring-step"
name = "scarring"
of = "scarring"
take = "severity"
rows = [
  { class = "I", to = "<= 1" },
  { class = "II", to = "<= 2" },
]

[[limit]]
id = "shape"
name = "shape"
of = ["least-width", "width"]
take = "ratio"
to = ">= 0.7"

[[limit]]
id = "sizes"
name = "size"
of = "size code"
take = "codes"
to = ">= 1"

[[limit]]
id = "sugar"
name = "maturity"
of = "brix"
take = "value"
rows = [
  { stage = "packing", grown_in = ["hills", "river flats"], destination = "overseas", to = ">= 6.2 Brix" },
  { days = "12-01 to 02-28", when = { firmness = "<= 8", "colour stage" = ">= 2", skin = "<= 4 cm2" }, to = "any" },
  { stage = ["packing", "distribution"], to = ">= 6.5 Brix and < 20 Brix" },
]
or_else = [
  { of = "dry-matter", take = "value", to = ">= 15 %" },
  { of = ["brix", "acid"], take = "ratio", to = ">= 20" },
]

[[limit]]
id = "even"
name = "uniform weight"
level = "package"
of = "weight"
take = "spread"
among = "label size"
rows = [
  { when = { weight = "< 85 g" }, to = "<= 10 g" },
  { to = "<= 15 g" },
]

[[limit]]
id = "window"
name = "weight of undersized fruit"
level = "tolerated"
of = "weight"
take = "value"
rows = [
  { size = "A", to = ">= 60 g and <= 425 g" },
]

[[set]]
id = "next"
name = "fruit of Class II"
meets = "II"

[[set]]
id = "worse"
name = "worse than Class II"
section = "4"
below = "II"
breaks = ["skin", "rot"]
as_class = "II"
has = ["rot", "spots"]
sets = ["next"]

[[set]]
id = "off-size"
name = "other sizes"
other_size = true

[[tolerance]]
id = "quality-one"
name = "quality, Class I"
class = "I"
basis = ["number", "weight"]
scope = "lot"
section = "5"
of = ["next", "worse"]
to = "<= 10 %"
package_times = 2
still = ["stage"]
within = [
  { of = ["worse"], to = "<= 2 %", package_times = "1.5", within = [{ of = ["worse"], to = "nil" }], note = "odd" },
]

[[tolerance]]
id = "size"
name = "size"
basis = "number"
scope = "package"
of = ["off-size"]
to = "<= 1"
still = ["window"]
next_size = true

[[tolerance]]
id = "good-share"
name = "least share of Class I"
class = ["I", "II"]
basis = "weight"
scope = "sample"
of = ["next"]
to = ">= 60 %"

[[outlet]]
id = "waste"
name = "Waste"
packed = false
takes = ["rot"]

[[outlet]]
id = "juice"
name = "Juice"
packed = false
takes = ["no class", "too light", "too heavy"]
"""

QUELL = read_crop(QUELL_CROP)
EVERYTHING = read_spec(QUELL_SPEC, {QUELL.id: QUELL})
