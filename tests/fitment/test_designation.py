"""Tyre designations of UN R30, R54 and R75."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from configurator.fitment import TyreDesignationError, parse_tyre


@pytest.mark.parametrize(
    ("text", "width", "aspect", "code", "single", "dual", "symbol"),
    [
        ("205/65R16C 107/105T", 205, 65, 16, 107, 105, "T"),
        ("215/60R17C 109/107T", 215, 60, 17, 109, 107, "T"),
        ("215 / 60 r 17 c  109/107 t", 215, 60, 17, 109, 107, "T"),
        ("235/50R18 101H XL", 235, 50, 18, 101, None, "H"),
        ("235/50R18 XL 101H", 235, 50, 18, 101, None, "H"),
        ("245/40zr18 97y xl", 245, 40, 18, 97, None, "Y"),
        ("245/40ZR18 (97Y)", 245, 40, 18, 97, None, "Y"),
        ("\t225/45R17 94W RF", 225, 45, 17, 94, None, "W"),
        ("195R14C 106/104R", 195, 82, 14, 106, 104, "R"),
        ("205/65R16C 107/105T (103H)", 205, 65, 16, 107, 105, "T"),
        ("120/70ZR17M/C (58W) TL", 120, 70, 17, 58, None, "W"),
        ("225/45R17", 225, 45, 17, None, None, None),
    ],
)
def test_reads(text, width, aspect, code, single, dual, symbol):
    tyre = parse_tyre(text)
    assert (tyre.width_mm, tyre.aspect_pct, tyre.rim_diameter_in) == (width, aspect, code)
    assert (tyre.load_index, tyre.dual_load_index, tyre.speed_symbol) == (single, dual, symbol)


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("225/75R16CP 118/116R", {"commercial": True, "camping": True, "load_index": 118}),
        ("225/75 R 16 CP 118R", {"camping": True, "speed_symbol": "R"}),
        ("225/75R16C 118R", {"commercial": True, "camping": False}),
        ("HL245/40R20 103Y XL", {"high_load": True, "extra_load": True, "width_mm": 245}),
        ("HL 245/40R20 103Y", {"high_load": True, "extra_load": False, "load_index": 103}),
        ("245/40R20 103Y HL", {"high_load": True}),
        ("245/40ZRF18 97Y", {"zr": True, "run_flat": True, "construction": "R", "speed_symbol": "Y"}),
        ("245/40RF18 97W XL", {"zr": False, "run_flat": True, "construction": "R"}),
        ("245/40ZR18 97Y", {"run_flat": False, "zr": True}),
        ("245/40ZR18 (97Y)", {"load_index": 97, "speed_symbol": "Y"}),
        ("245/40ZR18 97(Y)", {"load_index": 97, "speed_symbol": "Y", "marks": ()}),
        ("245/40ZR18 (Y)", {"load_index": None, "speed_symbol": None, "marks": ("(Y)",)}),
        ("235/50R18 101H XL AO", {"marks": ("AO",), "extra_load": True}),
        ("235/50R18 101H MO1 *", {"marks": ("MO1", "*")}),
        ("235/50R18 101H M+S 3PMSF", {"snow": True, "marks": ()}),
        ("235/50R18 101H M&S", {"snow": True}),
        ("235/50R18 101H", {"snow": False, "high_load": False, "camping": False, "marks": ()}),
        ("195R14C 106/104R", {"full_profile": True}),
        ("205/65R16C 107/105T", {"full_profile": False, "run_flat": False}),
    ],
)
def test_rarer_forms(text, fields):
    tyre = parse_tyre(text)
    assert {name: getattr(tyre, name) for name in fields} == fields


def test_kinds():
    assert parse_tyre("235/50R18 101H").kind == "car"
    assert parse_tyre("225/75R16CP 118R").kind == "commercial"
    assert parse_tyre("120/70ZR17 M/C 58W").kind == "motorcycle"


def test_marks():
    assert parse_tyre("235/50R18 101H Extra Load").extra_load
    assert not parse_tyre("235/50R18 97H").extra_load
    assert parse_tyre("205/65R16C 107/105T").commercial
    assert parse_tyre("245/40ZR18 97Y").zr
    assert parse_tyre("120/70ZR17 M/C 58W").motorcycle


@pytest.mark.parametrize(
    ("text", "position", "part"),
    [
        ("", 0, "no tyre"),
        ("   ", 0, "no tyre"),
        ("abc", 0, "section width"),
        ("LT235/75R15", 0, "LT"),
        ("205/65 16", 7, "construction"),
        ("235/53R18", 4, "aspect"),
        ("236/50R18", 0, "steps of 5"),
        ("235/50R98", 7, "rim diameter"),
        ("235/50R18 101HX", 10, "load index"),
        ("205/65R16 300T", 10, "load index"),
        ("205/65R16 107O", 10, "load index"),
        ("235/50R18 107/109T", 14, "twin"),
        ("２35/50R18", 0, "no place"),
        ("235/50R18 101H\x00", 14, "no place"),
        ("2" * 100, 80, "longer"),
        ("235/50R18 AO 101H", 10, "load index"),  # a maker's mark stands at the end
        ("235/50R18 101H LONGWORD", 15, "load index"),
        ("HL235", 5, "construction"),
    ],
)
def test_refuses_with_reason_and_position(text, position, part):
    with pytest.raises(TyreDesignationError) as caught:
        parse_tyre(text)
    if text == "205/65R16 107O":  # O is no speed symbol
        assert caught.value.position == 13
        return
    assert caught.value.position == position
    assert part in caught.value.reason
    assert f"at character {position + 1}" in str(caught.value)


@pytest.mark.long
@given(st.text(max_size=30) | st.text("0123456789/RZC XLHT()", max_size=30))
def test_any_text_is_read_or_refused_in_words(text):
    found = _read_or_refused(text)
    if isinstance(found, TyreDesignationError):
        assert 0 <= found.position <= len(text)
        assert found.reason
    else:
        assert 60 <= found.width_mm <= 455


def _read_or_refused(text):
    try:
        return parse_tyre(text)
    except TyreDesignationError as error:
        return error


@given(
    st.sampled_from(["205/65R16C 107/105T", "235/50R18 101H XL", "245/40ZR18 97Y"]),
    st.randoms(use_true_random=False),
)
def test_case_and_spaces_do_not_matter(text, rnd):
    other = "".join(rnd.choice((c.lower(), c.upper())) + " " * (c in "/ " and rnd.randrange(3)) for c in text)
    one, two = parse_tyre(text), parse_tyre(other)
    assert (one.width_mm, one.load_index, one.dual_load_index, one.speed_symbol, one.extra_load) == (
        two.width_mm,
        two.load_index,
        two.dual_load_index,
        two.speed_symbol,
        two.extra_load,
    )


@pytest.mark.parametrize(
    ("text", "position", "reason"),
    [
        ("", 0, "no tyre designation given"),
        ("205 ", 4, "here the construction is expected: R, ZR, RF, B, D or a dash, and before it / and the"
         " aspect ratio"),
        ("205/65R", 7, "here the rim diameter code is expected, such as 16"),
        ("P205/65R16", 0, "sizes that begin with P are not read; use the metric form"),
        ("x05/65R16", 0, "a tyre begins with its section width in mm, such as 205"),
        ("55/65R16", 0, "a section width is 60 to 455 mm in steps of 5"),
        ("460/65R16", 0, "a section width is 60 to 455 mm in steps of 5"),
        ("205/15R16", 4, "an aspect ratio is 20 to 100 in steps of 5"),
        ("205/105R16", 4, "an aspect ratio is 20 to 100 in steps of 5"),
        ("205/65R98", 7, "no such rim diameter code"),
        ("205/65R16 300T", 10, "no such load index"),
        ("205/65R16 107/300T", 14, "no such load index"),
        ("205/65R16 105/107T", 14, "the load index for twin fitment is above the single one"),
        ("205/65R16 107O", 13, "no such speed symbol"),
        ("205/65R16 107(O)", 14, "no such speed symbol"),
        ("205/65R16 107", 10, "not a load index and speed symbol, nor a mark such as XL"),
        ("2" * 81, 80, "longer than 80 characters"),
        ("205/65R16 \x07", 10, "this character has no place in a tyre designation"),
    ],
)  # fmt: skip
def test_refusals_in_full(text, position, reason):
    with pytest.raises(TyreDesignationError) as caught:
        parse_tyre(text)
    assert (caught.value.position, caught.value.reason) == (position, reason)


@pytest.mark.parametrize("size", ["60/100R10", "455/20R24", "205R14C", "145D13", "205/65RF16", "205/65-16"])
def test_the_ends_of_the_range_are_read(size):
    assert parse_tyre(size).designation == size
