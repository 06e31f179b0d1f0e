"""A table of mistakes in the invented spec and crop: what is typed instead of what, and the answer it must get.

Each line: the right text, the wrong one put in its place (once), a piece of the line that is pointed at, the key, a
piece of what was found, a piece of what would be accepted.
"""

Case = tuple[str, str, str, str, str, str]

HEAD: list[Case] = [
    ('id = "quell-export"\n', "", "title", "id", "nothing", "a text in quotes"),
    ('id = "quell-export"', 'id = "Quell"', "Quell", "id", '"Quell"', "lower-case letters"),
    ('crop = "quell"', 'crop = "quall"', "quall", "crop", '"quall"', 'did you mean "quell"'),
    ('edition = "1"\nnotes', "edition = 1\nnotes", "edition = 1", "edition", "the number 1", "a text in quotes"),
    ('notes = ["Invented.", "Not for trade."]', "notes = [1]", "notes", "notes", "a list", "a list of texts"),
    ('notes = ["Invented.", "Not for trade."]', 'notes = ["a", "a"]', "notes", "notes", "a list", "each word once"),
    ('[[class]]\nid = "I"', 'colour = 1\n[[class]]\nid = "I"', "colour", "source, colour", "colour", "one of"),
    ('mark = "our reading"', 'mark = "our raeding"', "raeding", "source, mark", "raeding", 'mean "our reading"'),
    ('on = "2026-03-01"', 'on = "1 March"', "1 March", "source, on", '"1 March"', "a day such as 2026-03-01"),
    ('on = "2026-03-01"', 'on = "2026-02-30"', "02-30", "source, on", "02-30", "a day such as"),
    ('on = "2026-03-01"', "on = 20260301", "20260301", "source, on", "20260301", "a day such as"),
    ('address = "https://rules.example/quell"', "address = 4", "address", "source, address", "the number 4", "a text"),
    ('id = "II"', 'id = "I"', 'id = "I"', "class 2, id", '"I" a second time', "each one once"),
    ('name = "Class II"', 'title = "Class II"', "[[class]]", "class 2, name", "nothing", "a text"),
]

SCALE: list[Case] = [
    ('of = "width"\nrounding', 'of = "with"\nrounding', "with", "scale, of", '"with"', 'did you mean "width"'),
    ('of = "width"\nrounding', 'of = "brix"\nrounding', "brix", "scale, of", '"brix"', "one of"),
    ('"half up to the millimetre"', '"half up to the gram"', "gram", "scale, rounding", "gram", "millimetre"),
    ('"half up to the millimetre"', '"up"', '"up"', "scale, rounding", '"up"', '"none"'),
    ('section = "3"\nbands', 'count_in = "3000 g"\nbands', "3000 g", "scale, count_in", "count_in", 'of = "weight"'),
    ('">= 40 mm and <= 60 mm"', '">= 40 g"', "40 g", "scale, bands 1, to", "40 g", 'a figure in "mm"'),
    ('">= 40 mm and <= 60 mm"', '">= 60 mm and <= 40 mm"', "60 mm", "scale, bands 1, to", "60 mm", "allows nothing"),
    ('">= 40 mm and <= 60 mm"', '">= 40 mm and <= 6 cm2"', "6 cm2", "scale, bands 1, to", "6 cm2", "mixes units"),
    ('"Early Quell", to', '"Erly Quell", to', "Erly", "scale, bands 1, variety", "Erly", 'mean "Early Quell"'),
    ('"Long Quell", to', '"Early Quell", to', "= 35", "scale, bands 2, name", '"A" a second', "once for each variety"),
    ('name = "B", to', 'name = "A", to', '"A", to', "scale, bands 3, name", '"A" a second', "once for each variety"),
    ('name = "B", to', 'nam = "B", name = "B", to', "nam", "scale, bands 3, nam", '"nam"', 'did you mean "name"'),
]

SEVERITY: list[Case] = [
    ('id = "scarring"', 'id = "scar"', '"scar"', "severity 1, id", '"scar"', "another word"),
    ('id = "scarring"', 'id = "width"', '"width"', "severity 1, id", '"width"', "another word"),
    ('id = "scarring"', 'id = "weight"', '"weight"', "severity 1, id", '"weight"', "another word"),
    ('id = "spotting"', 'id = "scarring"', '"scarring"', "severity 2, id", "a second time", "each one once"),
    ('"< 1 cm2"', '"< 1 mm"', "1 mm", "severity 1, steps 1, to", "1 mm", '"cm2" or circles'),
    ('"< 1 cm2"', '"< 5 cm2"', "and <= 3 cm2", "severity 1, steps 2, to", "<= 3 cm2", "from mild to severe"),
    ('"< 1 cm2"', '"any"', "and <= 3", "severity 1, steps 2, to", "<= 3 cm2", "only the last has no end"),
    (
        '">= 1 cm2 and <= 3 cm2"',
        '"> 1 cm2 and <= 3 cm2"',
        "> 1",
        "severity 1, steps 2, to",
        "> 1 cm2",
        'no gap after the step before it, "< 1 cm2"',
    ),
    (
        '"> 3 cm2"',
        '">= 3.01 cm2"',
        "3.01",
        "severity 1, steps 3, to",
        "3.01",
        'no gap after the step before it, ">= 1 cm2 and',
    ),
    ('">= 6"', '">= 7"', ">= 7", "severity 2, steps 2, to", '">= 7"', 'no gap after the step before it, "< 6"'),
    ('name = "moderate"', 'name = "slight"', "and <= 3", "severity 1, steps 2, name", "a second time", "each one once"),
    ('take = "places"\nsteps', 'take = "present"\nsteps', "present", "severity 2, take", '"present"', '"largest"'),
    (
        'of = "spots"\ntake = "places"\nsteps',
        'of = "spts"\ntake = "places"\nsteps',
        "spts",
        "severity 2, of",
        "spts",
        '"spots"',
    ),
]

MEASURE: list[Case] = [
    ('id = "least-weight"', 'id = "colour"', '"colour"', "limit 2, id", "a second time", "each one once"),
    (
        'of = "weight"\ntake = "value"\nrows',
        'of = "wieght"\ntake = "value"\nrows',
        "wieght",
        "limit 1, of",
        "wieght",
        'mean "weight"',
    ),
    (
        'of = "weight"\ntake = "value"\nrows',
        'of = "rot"\ntake = "value"\nrows',
        'take = "value"',
        "limit 1, take",
        '"value"',
        'take = "places" or take = "present": "rot" is measured there or not',
    ),
    (
        'of = "weight"\ntake = "value"\nrows',
        'of = ["weight", "width"]\ntake = "value"\nrows',
        "width",
        "limit 1, of",
        "2 names",
        "one name only",
    ),
    ('take = "largest"', 'take = "biggest"', "biggest", "limit 5, take", "biggest", '"largest"'),
    (
        'take = "largest"\nby = "area"',
        'take = "largest"',
        "[[limit]]",
        "limit 5, by",
        "nothing",
        '"area", "share", "length"',
    ),
    ('take = "largest"\nby = "area"', 'take = "largest"\nby = "aera"', "aera", "limit 5, by", "aera", 'mean "area"'),
    (
        'take = "largest"\nby = "area"',
        'take = "largest"\nby = "length"',
        "by =",
        "limit 5, by",
        '"length"',
        'by = "area" or by = "share": "scar" is measured by area, cm²',
    ),
    (
        'of = "crack"\n',
        'of = "russet"\n',
        "by =",
        "limit 7, by",
        '"length"',
        'by = "area" or by = "share": "russet" is measured by share of the surface, %',
    ),
    ('of = "crack"\n', 'of = ["scar", "crack"]\n', "of", "limit 7, of", '"scar"', '"scar" is measured by area'),
    ('of = "crack"\n', 'of = ["scar", "rot"]\n', "take", "limit 7, take", '"sum"', "there or not"),
    (
        'of = "russet"\n',
        'of = "spots"\n',
        "take",
        "limit 8, take",
        '"sum"',
        'take = "places" or take = "present": "spots"',
    ),
    ('of = "russet"\n', 'of = ["russet", "spots"]\n', "of", "limit 8, of", '"spots"', "by how many places it is in"),
    (
        'of = "rot"\ntake = "present"\n',
        'of = "width"\ntake = "present"\n',
        "take",
        "limit 9, take",
        '"present"',
        'take = "value"',
    ),
    (
        'of = "scarring"\ntake = "severity"',
        'of = "scarring"\ntake = "places"',
        "take",
        "limit 11, take",
        '"places"',
        'take = "severity"',
    ),
    ('level = "package"\nof = "weight"', 'level = "package"\nof = "scar"', "scar", "limit 15, of", '"scar"', "by area"),
    (
        'of = "rot"\ntake = "present"\n',
        'of = "rot"\ntake = "present"\nby = "area"\n',
        "by",
        "limit 9, by",
        "by",
        'take = "sum"',
    ),
    (
        'state = ["progressive", "into flesh"]',
        'state = "into-flesh"',
        "into-flesh",
        "limit 6, state",
        "into-flesh",
        'mean "into flesh"',
    ),
    (
        'by = "length"\n',
        'by = "length"\nstate = "progressive"\n',
        "progressive",
        "limit 7, state",
        "progressive",
        "there is none",
    ),
    ('to = ">= 0.7"', 'state = "progressive"\nto = ">= 0.7"', "state", "limit 12, state", "state", "over defect kinds"),
    ('as_on = { of = "width"', 'as_on = { of = "brix"', "brix", "limit 4, as_on, of", "brix", '"weight", "width"'),
    ('size = "63.5 mm"', 'size = "63.5 g"', "63.5 g", "limit 4, as_on, size", "63.5 g", "a figure over 0 in mm"),
    ('size = "63.5 mm"', 'size = "0 mm"', "0 mm", "limit 4, as_on, size", "0 mm", "over 0"),
    ('size = "63.5 mm"', "size = 63.5", "63.5", "limit 4, as_on, size", "63.5", "over 0 in mm"),
    (
        'by = "share"\n',
        'by = "share"\nas_on = { of = "width", size = "60 mm" }\n',
        "as_on",
        "limit 8, as_on",
        "as_on",
        'by = "area"',
    ),
    (
        'of = ["least-width", "width"]',
        'of = ["least-width"]',
        "least-width",
        "limit 12, of",
        "one name",
        "two measures",
    ),
    (
        'of = ["least-width", "width"]',
        'of = ["least-width", "brix"]',
        "brix",
        "limit 12, of",
        "different things",
        "all on the fruit",
    ),
    ('of = ["least-width", "width"]', 'of = ["least-width", "scar"]', "scar", "limit 12, of", '"scar"', '"width"'),
    (
        'of = ["good-colour", "pale-colour"]',
        'of = ["good-colour", "width"]',
        "width",
        "limit 2, or_else 1, of",
        "different units",
        "the same unit",
    ),
    ('of = "scarring"\n', 'of = "scaring"\n', "scaring", "limit 11, of", "scaring", 'mean "scarring"'),
    ('of = "size code"', 'of = "size"', '"size"', "limit 13, of", '"size"', '"size code"'),
    ('level = "package"', 'level = "packet"', "packet", "limit 15, level", "packet", 'mean "package"'),
    ('level = "package"\n', "", "spread", "limit 15, take", "spread", '"value"'),
    ('take = "spread"', 'take = "value"', '"value"', "limit 15, take", '"value"', '"spread"'),
    ('among = "label size"', 'among = "size"', '"size"', "limit 15, among", '"size"', '"label size"'),
    ('to = ">= 0.7"', 'among = "label size"\nto = ">= 0.7"', "among", "limit 12, among", "among", 'take = "spread"'),
]


def _listed(words: str) -> str:
    return ", ".join(f'"{word}"' for word in words.split())


ROWS: list[Case] = [
    ('to = "<= 3 cm2"', 'to = "3 cm2"', '"3 cm2"', "limit 5, to", '"3 cm2"', "a comparator first: "),
    ('to = "<= 3 cm2"', "to = 3", "to = 3", "limit 5, to", "the number 3", "a comparator"),
    ('to = "<= 3 cm2"', "", "[[limit]]", "limit 5, rows", "nothing", "at least one table"),
    ('to = "<= 3 cm2"', "", "[[limit]]", "limit 5, rows", "nothing", "to, one bound for all fruit (a comparator and a"),
    (
        'to = "<= 3 cm2"',
        "",
        "[[limit]]",
        "limit 5, rows",
        "nothing",
        "or at least one table: [[limit.rows]], or rows = ",
    ),
    (
        'size = "A", to = "<= 1',
        'seize = "A", to = "<= 1',
        "seize",
        "limit 4, rows 1, seize",
        "seize",
        _listed(
            "address class days destination edition grown_in mark note on presentation section size stage standard "
            "to variety when"
        ),
    ),
    (
        'to = ">= 0.7"',
        'to = ">= 0.7"\nzone = 1',
        "zone",
        "limit 12, zone",
        "zone",
        _listed(
            "address among as_on by edition id level mark name note of on or_else rows section standard state take to"
        ),
    ),
    ('to = "<= 3 cm2"', "rows = []", "rows", "limit 5, rows", "a list", "at least one table"),
    ('to = "<= 3 cm2"', 'to = "<= 3 cm2"\nrows = [{ to = "nil" }]', "to =", "limit 5, to", "to", "either to or rows"),
    ('"<= 1 circle of 12 mm"', '"<= 1 circle of 12"', "of 12", "limit 4, rows 1, to", "circle of 12", "a comparator"),
    ('"<= 1 circle of 12 mm"', '"<= 1 circle of 0 mm"', "0 mm", "limit 4, rows 1, to", "0 mm", "over 0 mm"),
    ('size = "A", to = "<= 1', 'size = "a", to = "<= 1', '"a"', "limit 4, rows 1, size", '"a"', '"A", "B"'),
    (
        '{ class = "II", to = "<= 6 cm2" }',
        '{ class = "III", to = "nil" }',
        "III",
        "limit 4, rows 3, class",
        '"III"',
        '"I", "II"',
    ),
    (
        'variety = "Early Quell", to = ">= 50 %"',
        'variety = "early quell", to = ">= 50 %"',
        "early",
        "limit 2, rows 1, variety",
        "early",
        "Early Quell",
    ),
    (
        'presentation = "layers"',
        'presentation = "Layers"',
        "Layers",
        "limit 1, rows 1, presentation",
        "Layers",
        '"layers"',
    ),
    ('destination = "overseas"', "destination = 4", "= 4", "limit 14, rows 1, destination", "the number 4", "a text"),
    (
        'days = "12-01 to 02-28"',
        'days = "1 Dec to 28 Feb"',
        "1 Dec",
        "limit 14, rows 2, days",
        "1 Dec",
        "12-01 to 02-28",
    ),
    (
        'days = "12-01 to 02-28"',
        'days = "12-01 to 02-30"',
        "02-30",
        "limit 14, rows 2, days",
        "02-30",
        "12-01 to 02-28",
    ),
    ('days = "12-01 to 02-28"', 'days = "13-01 to 02-28"', "13-01", "limit 14, rows 2, days", "13-01", "both included"),
    (
        'firmness = "<= 8"',
        'firmnes = "<= 8"',
        "firmnes",
        "limit 14, rows 2, when, firmnes",
        "firmnes",
        'mean "firmness"',
    ),
    ('firmness = "<= 8"', 'sugar = "<= 8"', "sugar", "limit 14, rows 2, when, sugar", "sugar", '"skin"'),
    ('firmness = "<= 8"', 'even = "<= 8 g"', "even", "limit 14, rows 2, when, even", "even", '"weight"'),
    ('skin = "<= 4 cm2"', 'skin = "<= 4 mm"', "4 mm", "limit 14, rows 2, when, skin", "4 mm", '"cm2"'),
    (
        '{ when = { weight = "< 85 g" }, to',
        "{ when = {}, to",
        "when",
        "limit 15, rows 1, when",
        "nothing in it",
        "a name and a bound",
    ),
    ('{ to = "<= 15 g" }', '{ to = "<= 15" }', "15", "limit 15, rows 2, to", "<= 15", 'a figure in "g"'),
    (
        '{ of = "dry-matter", take',
        '{ off = "dry-matter", of = "brix", take',
        "off",
        "limit 14, or_else 1, off",
        '"off"',
        'mean "of"',
    ),
]

_SKIN = '{ class = "I", to = "<= 2 circles of 12.5 mm" }'
_WEIGHT = '{ class = ["I", "II"], to = ">= 65 g" },'
NEVER: list[Case] = [
    *(
        (right, f"{first},\n  {second}", second, place, "never be reached: row 2 already speaks of", "before row 2")
        for right, first, second, place in [
            (_SKIN, _SKIN, '{ class = "I", size = "B", to = "nil" }', "limit 4, rows 3"),
            (_SKIN, _SKIN, _SKIN.replace("2 circ", "3 circ"), "limit 4, rows 3"),
            (_WEIGHT, '{ class = ["I", "II"], to = ">= 65 g" }', '{ to = ">= 60 g" },', "limit 1, rows 3"),
            (
                _WEIGHT,
                '{ days = "11-01 to 03-31", to = ">= 65 g" }',
                '{ days = "12-01 to 02-28", variety = "Early Quell", to = ">= 60 g" },',
                "limit 1, rows 3",
            ),
            (
                _WEIGHT,
                '{ when = { width = "> 40 mm" }, to = ">= 65 g" }',
                '{ when = { width = ">= 50 mm and < 60 mm", brix = ">= 6 Brix" }, to = ">= 60 g" },',
                "limit 1, rows 3",
            ),
        ]
    ),
]

SETS: list[Case] = [
    ('meets = "II"\n', "", "[[set]]", "set 1", "no condition", "at least one of below, meets"),
    ('meets = "II"', 'meets = "X"', '"X"', "set 1, meets", '"X"', '"I", "II"'),
    ('breaks = ["skin", "rot"]', 'breaks = ["skn"]', "skn", "set 2, breaks", '"skn"', 'mean "skin"'),
    ('breaks = ["skin", "rot"]\n', "", "as_class", "set 2, as_class", "as_class", "breaks with it"),
    ('has = ["rot", "spots"]', 'has = ["rott"]', "rott", "set 2, has", "rott", 'mean "rot"'),
    *(
        ('sets = ["next"]', f'sets = ["{wrong}"]', wrong, "set 2, sets", f'"{wrong}", which does not', accepted)
        for wrong, accepted in [
            ("off-size", 'only sets written above it: "next"'),
            ("worse", 'only sets written above it: "next"'),
        ]
    ),
    ('sets = ["next"]', 'sets = ["nxt"]', "nxt", "set 2, sets", '"nxt"', 'written above it: did you mean "next"?'),
    ('meets = "II"', 'sets = ["worse"]', "worse", "set 1, sets", '"worse"', "there is none above this one"),
    ("other_size = true", "other_size = false", "false", "set 3, other_size", "other_size", "other_size = true"),
    ("other_size = true", 'other_size = "yes"', "yes", "set 3, other_size", '"yes"', "true or false"),
    ('id = "off-size"', 'id = "next"', '"next"', "set 3, id", "a second time", "each one once"),
]

TOLERANCES: list[Case] = [
    ('basis = ["number", "weight"]', 'basis = "count"', "count", "tolerance 1, basis", '"count"', '"number", "weight"'),
    ('basis = ["number", "weight"]\n', "", "[[tolerance]]", "tolerance 1, basis", "nothing", "at least one"),
    ('scope = "lot"', 'scope = "lots"', "lots", "tolerance 1, scope", '"lots"', 'mean "lot"'),
    ('class = "I"\nbasis', 'class = "IV"\nbasis', "IV", "tolerance 1, class", '"IV"', '"I", "II"'),
    ('of = ["next", "worse"]', 'of = ["nxt"]', "nxt", "tolerance 1, of", '"nxt"', 'mean "next"'),
    ('to = "<= 10 %"\npackage', 'to = "<= 10 g"\npackage', "10 g", "tolerance 1, to", "10 g", '"%" or a plain number'),
    ('to = "<= 10 %"\npackage', 'to = "<= 1/10"\npackage', "1/10", "tolerance 1, to", "0.1", "a whole number of fruit"),
    ('to = "<= 10 %"\npackage', 'to = "<= 110 %"\npackage', "110 %", "tolerance 1, to", "110 %", "at most 100 %"),
    ("package_times = 2\n", "package_times = 0\n", "= 0", "tolerance 1, package_times", "the number 0", "1 or more"),
    ("package_times = 2\n", 'package_times = "twice"\n', "twice", "tolerance 1, package_times", "twice", '"1 1/2"'),
    (
        'of = ["off-size"]',
        'of = ["off-size"]\npackage_times = 2',
        "= 2",
        "tolerance 2, package_times",
        "package_times",
        'scope = "lot"',
    ),
    ('still = ["window"]', 'still = ["widow"]', "widow", "tolerance 2, still", "widow", 'mean "window"'),
    ("next_size = true", "next_size = false", "false", "tolerance 2, next_size", "next_size", "next_size = true"),
    ("next_size = true", "next_size = 1", "1", "tolerance 2, next_size", "the number 1", "true or false"),
    ('still = ["window"]', 'still = ["even"]', "even", "tolerance 2, still", '"even"', "one of"),
    (
        'to = "<= 2 %"',
        'to = "<= 20 %"',
        "20 %",
        "tolerance 1, within 1, to",
        "20 %",
        'no more than the part around it allows, "<= 10 %"',
    ),
    (
        '{ of = ["worse"], to = "nil" }',
        '{ of = ["worst"], to = "nil" }',
        "worst",
        "tolerance 1, within 1, within 1, of",
        "worst",
        'mean "worse"',
    ),
    ('id = "good-share"', 'id = "size"', '"size"', "tolerance 3, id", "a second time", "each one once"),
]

AREA = '"<= 3 cm2"'  # of the limit "one-scar"
SHARE = 'by = "share"\nto = "<= 10 %"'
BOUNDS: list[Case] = [
    *(
        (f"to = {AREA}", f'to = "{wrong}"', wrong, "limit 5, to", f'"{wrong}"', accepted)
        for wrong, accepted in [
            ("<= 4,5 cm2", 'did you mean "<= 4.5 cm2"? a comparator and'),
            ("<= 4,5 cm2", 'a figure in "cm2" or circles, such as "<= 4 cm2" or "<= 2 circles of 6 mm"; or "nil"'),
            ("<= 1,000 cm2", 'did you mean "<= 1000 cm2" or "<= 1 cm2"? a comparator'),
            ("=< 3 cm2", 'did you mean "<= 3 cm2"? a comparator'),
            ("≥ 3 cm2", 'did you mean ">= 3 cm2"? a comparator'),
            ("up to 3 cm2", 'did you mean "<= 3 cm2"?'),
            ("<= 3 cm²", 'did you mean "<= 3 cm2"? a comparator'),
            ("<= 3 Square Centimetres", 'did you mean "<= 3 cm2"?'),
            ("<= 3 cm", 'a comparator and a figure in "cm2" or circles'),
            ("<= three cm2", 'a comparator and a figure in "cm2" or circles'),
            ("1 to 3 cm2", 'did you mean ">= 1 cm2 and <= 3 cm2"? a comparator'),
            ("<= 3 percent", 'a comparator and a figure in "cm2"'),
        ]
    ),
    *(
        (SHARE, f'by = "share"\nto = "{wrong}"', wrong, "limit 8, to", f'"{wrong}"', accepted)
        for wrong, accepted in [
            ("<= 10", 'did you mean "<= 10 %"?'),
            ("<= 10 percent", 'did you mean "<= 10 %"? a comparator'),
            ("> 2 and < 10", 'did you mean "> 2 % and < 10 %"?'),
            ("<= 110 %", "a share of at most 100 %"),
            ("<= 110", "a share of at most 100 %"),
            ("<= 4 cm2", 'a figure in "%" or a plain number, such as "<= 10 %" or ">= 1/3"'),
        ]
    ),
    ('">= 1/3"', '">= 50"', '">= 50"', "limit 2, rows 2, to", '">= 50"', 'did you mean ">= 50 %"?'),
    ('">= 66 %"', '">= 66"', '">= 66"', "limit 2, or_else 1, rows 1, to", '">= 66"', 'did you mean ">= 66 %"?'),
]

OUTLETS: list[Case] = [
    (
        'packed = false\ntakes = ["rot"]',
        'packed = 0\ntakes = ["rot"]',
        "= 0",
        "outlet 1, packed",
        "the number 0",
        "true or false",
    ),
    ('takes = ["rot"]', 'takes = ["rott"]', "rott", "outlet 1, takes", "rott", 'mean "rot"'),
    ('takes = ["rot"]', 'takes = ["window"]', "window", "outlet 1, takes", "window", "one of"),
    ('takes = ["rot"]', 'takes = ["no class"]', "no class", "outlet 2, takes", "a second time", "each case once"),
    ('takes = ["no class", ', "takes = [", "[[outlet]]", "outlet", "no outlet", 'takes = ["no class"]'),
]

CROP: list[Case] = [
    ('plausible = ">= 20 g and <= 900 g"', 'plausible = ">= 2 cm2"', "2 cm2", "plausible", "2 cm2", 'a figure in "g"'),
    ('measure = "length"', 'measure = "mm"', '"mm"', "kind 4, measure", '"mm"', '"length"'),
    (
        'states = ["progressive", "into flesh"]',
        'states = ["Progressive"]',
        "Prog",
        "kind 1, states",
        "Prog",
        '"progressive"',
    ),
    ('id = "rot"', 'id = "scar"', '"scar"', "kind 6, id", "a second time", "each one once"),
    ('id = "rot"', 'id = "weight"', '"weight"', "kind 6, id", '"weight"', "another word"),
    ('id = "brix"', 'id = "rot"', '"rot"', "measure 5, id", "a second time", "each one once"),
    ('unit = "Brix"', 'unit = "brix"', "brix", "measure 5, unit", '"brix"', 'mean "Brix"'),
    ('unit = "Brix"', 'unit = "circles"', "circles", "measure 5, unit", "circles", '"mm"'),
    ('plausible = "<= 30 Brix"', 'plausible = "<= 30 %"', "30 %", "measure 5, plausible", "30 %", 'a figure in "Brix"'),
    ('on = "load"', 'on = "truck"', "truck", "measure 8, on", "truck", '"sample", "load"'),
    ("number = 2", "number = 1", "= 1", "stage 2, number", "a second time", "each one once"),
    ("number = 2", "number = -2", "-2", "stage 2, number", "-2", "0 or more"),
    ('group = "rot"\n', "", "[[kind]]", "kind 6, group", "nothing", "a text"),
    ('name = "Quell"', 'nane = "Quell"', "nane", "nane", "nane", 'mean "name"'),
]
