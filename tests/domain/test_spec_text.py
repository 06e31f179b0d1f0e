"""Spec files: read, written in one form, and every mistake shown with its line."""

import tomllib
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.bound import Bound
from shedgrade.domain.spec.library import crops, standards
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.places import Place, places
from shedgrade.domain.spec.text import Mistake, SpecMistakes, read_crop, read_spec, write_spec
from tests.support.specs import MARKET


def mistakes_in(text: str) -> tuple[Mistake, ...]:
    with pytest.raises(SpecMistakes) as caught:
        read_spec(text, crops())
    return caught.value.mistakes


class TestWriting:
    @pytest.mark.parametrize("spec", [*standards().values(), read_spec(MARKET, crops())], ids=lambda spec: spec.id)
    def test_what_was_written_reads_back_the_same(self, spec: Spec) -> None:
        text = write_spec(spec)
        assert read_spec(text, crops()) == spec
        assert write_spec(read_spec(text, crops())) == text

    def test_spaces_comments_and_the_order_of_keys_do_not_reach_the_written_form(self) -> None:
        typed = MARKET.replace('id = "market-kestrow"\n', "").replace(
            'edition = "3"\n\n', 'edition   =   "3" # third\nid = "market-kestrow"\n\n', 1
        )
        assert typed != MARKET
        assert write_spec(read_spec(typed, crops())) == write_spec(read_spec(MARKET, crops()))

    @pytest.mark.parametrize(
        ("old", "new"),
        [
            ('"<= 1/100"', '"< 1/100"'),
            ("[2017]", "[2018]"),
            ('mark = "our reading"', 'mark = "inferred"'),
            ('"one"', '"first"'),
        ],
    )
    def test_another_rule_is_another_text(self, old: str, new: str) -> None:
        changed = MARKET.replace("Kestrow Markets", "Kestrow Markets [2017]")
        assert write_spec(read_spec(changed.replace(old, new), crops())) != write_spec(read_spec(changed, crops()))

    @given(st.text(max_size=60), st.text(max_size=60))
    def test_any_text_that_is_read_is_written_and_read_back(self, title: str, note: str) -> None:
        spec = replace(read_spec(MARKET, crops()), title=title, notes=(note,))
        try:
            again = read_spec(write_spec(spec), crops())
        except SpecMistakes:
            return  # control signs and empty texts are refused
        assert again == spec


class TestInheritance:
    def test_a_row_says_only_what_differs_and_a_note_is_not_inherited(self) -> None:
        spec = read_spec(MARKET, crops())
        first, second = spec.limit("blemish").rows
        assert (first.source.mark, first.source.standard, first.source.note) == ("read", "Kestrow Markets, mango", "")
        assert (second.source.mark, second.source.standard) == ("our reading", "Kestrow Markets, mango")

    def test_a_limit_of_one_figure_keeps_its_note_to_itself(self) -> None:
        limit = standards()["mango-codex-cxs184"].limit("rot")
        assert limit.source.note
        assert limit.rows[0].source == limit.source.below()

    def test_every_source_is_listed_once(self) -> None:
        sources = standards()["avocado-trade-4kg"].sources
        assert len(sources) == len(set(sources))
        assert {"4 kg trade codes for avocado", "shed practice"} <= {source.standard for source in sources}


class TestMistakes:
    @pytest.mark.parametrize(
        ("old", "new", "on", "key", "accepted"),
        [
            ('crop = "mango"', 'crop = "mangoe"', "mangoe", "crop", 'did you mean "mango"'),
            ('title = "Mango, Kestrow Markets"\n', "", "market-kestrow", "title", "a text in quotes"),
            ('title = "Mango, Kestrow Markets"', "title = 4", "title = 4", "title", "a text in quotes"),
            ('id = "market-kestrow"', 'id = "Market Kestrow"', "Market Kestrow", "id", "lower-case"),
            ('mark = "read"', 'mark = "raed"', "raed", "source, mark", 'did you mean "read"'),
            ('name = "Class two"', 'nmae = "Class two"', "nmae", "class 2, nmae", 'did you mean "name"'),
            ('id = "two"', 'id = "one" #', 'one" #', "class 2, id", "each one once"),
            ('"present"\nto = "<= 2"', '"presnt"\nto = "<= 2"', "presnt", "limit 4, take", '"present"'),
            ('class = "two", to = ">= 2"', 'class = "tow", to = ">= 2"', "tow", "limit 1, rows 2, class", '"two"'),
            ('to = ">= 2"', 'to = "2 or more"', "2 or more", "limit 1, rows 2, to", "a comparator"),
            ('to = ">= 2"', 'size = "A", to = ">= 2"', "size", "limit 1, rows 2, size", "there is none"),
            ('"> 250 g and < 900 g"', '"> 250 and < 900"', "> 250", "limit 2, to", 'a figure in "g"'),
            ('of = ["sap-stain", "rub"]', 'of = ["sap-stain", "rib"]', "rib", "limit 3, of", 'did you mean "rub"'),
            ('of = ["sap-stain", "rub"]', 'of = ["sap-stain", "rot"]', '"rot"]', "limit 3, of", "one of"),
            ('of = ["sap-stain", "rub"]', "of = []", "of = []", "limit 3, of", "at least one"),
            ('take = "sum"\nby = "share"\n', 'take = "sum" #\n', "[[limit]]", "limit 3, by", '"share"'),
            ('to = "nil"', 'by = "area"\nto = "nil"', "area", "limit 5, by", 'take = "sum"'),
            ('to = "nil"', 'to = "nil"\nrows = [{ to = "any" }]', "nil", "limit 5, to", "either to or rows"),
            ('"weight"\ntake = "value"', '"size code"\ntake = "codes"', "size code", "limit 2, of", "there is none"),
            ('takes = ["too light", "weight"]', 'takes = ["too lihgt"]', "lihgt", "outlet 1, takes", '"too light"'),
            ('"no class", "too heavy"', '"too heavy"', "[[outlet]]", "outlet", 'takes = ["no class"]'),
            ('"no class", "too heavy"', '"no class", "weight"', '"no class"', "outlet 2, takes", "each case once"),
            ('title = "Mango, ', 'title = "Mango\\u0007, ', "u0007", "title", "plain text"),
            ("packed = true", 'packed = "yes"', "yes", "outlet 1, packed", "true or false"),
            ('edition = "3"\n\n', 'edition = "3"\ntolerances = 5\n\n', "tolerances", "tolerances", '"tolerance"?'),
            ('[[class]]\nid = "one"', '[clas]\nid = "one"', "clas]", "clas", 'did you mean "class"'),
        ],
    )
    def test_a_mistake_has_its_line_its_key_and_what_would_be_accepted(
        self, old: str, new: str, on: str, key: str, accepted: str
    ) -> None:
        assert old in MARKET
        text = MARKET.replace(old, new, 1)
        (found,) = [each for each in mistakes_in(text) if each.key == key]
        assert on in text.splitlines()[found.line - 1]
        assert accepted in found.accepted
        assert found.says().startswith(f"Line {found.line}, {key}: found ")

    def test_all_mistakes_are_found_at_one_look(self) -> None:
        text = MARKET.replace('"rub"', '"rib"').replace("packed = true", "packed = 1").replace('"<= 1/100"', '"1/100"')
        assert [each.key for each in mistakes_in(text)] == [
            "limit 3, of",
            "limit 3, rows 1, to",
            "limit 4, of",
            "outlet 1, packed",
        ]

    @pytest.mark.parametrize(
        ("text", "line", "found"),
        [
            ("id = ", 1, '"id =": '),
            ('id = "a"\nid = "b"', 2, '"id = "b"": '),
            ("\n\n  what is this\nid = 1", 3, '"what is this": '),
            ('a = 1\nrows = [\n  { to = "nil" },\n\n\n', 3, '"{ to = "nil" },": '),
            ("a = 1\nb = Class I\n", 2, '"b = Class I": '),
            ("a = " + "[" * 9000, 1, "nested too deep"),
            ("a = " + "9" * 9000, 1, "integer string"),
        ],
    )
    def test_what_is_no_toml_is_one_mistake(self, text: str, line: int, found: str) -> None:
        (only,) = mistakes_in(text)
        assert (only.line, only.key) == (line, "")
        assert found in only.found
        assert "TOML" in only.accepted

    def test_deep_but_valid_brackets_only_lose_the_line(self) -> None:
        assert mistakes_in("a = " + "[" * 150 + "]" * 150)[0].line >= 1

    @given(st.text(max_size=200))
    def test_no_text_gives_anything_but_mistakes(self, text: str) -> None:
        assert mistakes_in(text)

    @given(st.data())
    def test_no_change_of_a_spec_gives_anything_but_a_spec_or_mistakes(self, data: st.DataObject) -> None:
        lines = MARKET.splitlines()
        place = data.draw(st.integers(0, len(lines) - 1))
        junk = data.draw(st.sampled_from(VALUES))
        key = lines[place].split(" = ")[0]
        lines[place] = data.draw(st.sampled_from([f"{key} = {junk}", junk, f"{lines[place]}\n{lines[place]}", ""]))
        try:
            spec = read_spec("\n".join(lines), crops())
        except SpecMistakes:
            return
        assert read_spec(write_spec(spec), crops()) == spec


VALUES = [
    *(
        '""',
        '" "',
        "0",
        "-1",
        "true",
        "1.5",
        "nan",
        "1979-05-27",
        "[]",
        "{}",
        "[[]]",
        '[""]',
        '[1, "a"]',
        "{ a = { b = 1 } }",
    ),
    *(
        '"\\u0000"',
        '"""\nlines\n"""',
        "'rub'",
        '"rub"',
        '["rub", "rub"]',
        '"<= 4 cm2"',
        '"any"',
        "[{ to = 1 }]",
        "[{}]",
    ),
]


class TestPlaces:
    def test_lines_of_headings_keys_lists_and_inline_tables(self) -> None:
        text = (
            "a.b = 1 # [not a heading]\n"
            'c = """\n[x]\n"quoted" \\""""\n'
            "[[limit]]\n"
            "rows = [\n  { to = '}', 'odd key' = 1 }, # , {\n  [1,\n 2],\n]\n"
            "[limit.sub]\n"
            "x = 1979-05-27 07:32:00\n"
            "[[limit]]\n"
            '"rows" = []\n'
        )
        tomllib.loads(text)
        expected: dict[Place, int] = {
            ("a", "b"): 1,
            ("c",): 2,
            ("limit", 0): 5,
            ("limit", 0, "rows"): 6,
            ("limit", 0, "rows", 0): 7,
            ("limit", 0, "rows", 0, "to"): 7,
            ("limit", 0, "rows", 0, "odd key"): 7,
            ("limit", 0, "rows", 1): 8,
            ("limit", 0, "rows", 1, 1): 9,
            ("limit", 0, "sub"): 11,
            ("limit", 0, "sub", "x"): 12,
            ("limit", 1): 13,
            ("limit", 1, "rows"): 14,
        }
        found = places(text)
        assert {place: found[place] for place in expected} == expected


class TestCrops:
    def test_the_crops_that_come_with_the_program(self) -> None:
        mango = crops()["mango"]
        assert {"sap-stain", "rub", "sunburn", "healed-bruise", "rot", "very-slight-mark"} <= {
            kind.id for kind in mango.kinds
        }
        assert [stage.number for stage in mango.stages] == [1, 2, 3, 4, 5, 6]
        assert {stage.source.mark for stage in mango.stages} == {"from memory"}
        assert mango.kind("lenticels").measure == "share"
        assert (mango.lightest_dg, mango.heaviest_dg) == (500, 25_000)
        assert not mango.plausible.allows(46_000)

    def test_a_crop_file_shows_its_mistakes_too(self) -> None:
        head = 'id = "plum"\nname = "Plum"\nplausible = "heavy"\n'
        text = head + '[[kind]]\nid = "rot"\nname = "rot"\ngroup = "rot"\nmeasure = "cm"\n'
        with pytest.raises(SpecMistakes) as caught:
            read_crop(text)
        assert {each.key for each in caught.value.mistakes} == {
            *("source", "source, standard", "source, edition", "source, mark", "plausible", "kind 1, measure")
        }

    def test_an_unknown_kind_or_stage_is_a_key_error(self) -> None:
        with pytest.raises(KeyError):
            crops()["mango"].kind("corkiness")
        with pytest.raises(KeyError):
            crops()["avocado"].stage(1)


def test_a_published_limit_keeps_its_comparator_in_sight() -> None:
    row = standards()["mango-gost-33882"].limit("skin-marks").row_for("I", "C")
    assert row is not None
    assert row.to == Bound.parse("<= 5 cm2")
