"""The hash of a lift: the same for the same lift however it is written, another for any other."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lift_texts import EXAMPLE_TEXT, FAMILY, no_file, one_strut, read, read_example

from plumbhook.core.units import Kind, parse_quantity
from plumbhook.model.files import parse_lift

SAME_SIZE = {
    "t": ("kg", 1000),
    "m": ("mm", 1000),
    "mm": ("m", 0.001),
    "kg": ("t", 0.001),
}


def rewritten(value: object) -> object:
    """Every length and mass in another metric unit."""
    if isinstance(value, dict):
        return {key: rewritten(one) for key, one in value.items()}
    if isinstance(value, list):
        return [rewritten(one) for one in value]
    if isinstance(value, str):
        number, _, word = value.partition(" ")
        if word in SAME_SIZE:
            other, factor = SAME_SIZE[word]
            return f"{round(float(number) * factor, 9):.9f} {other}"
    return value


def test_units_spacing_comments_and_order_do_not_change_the_hash() -> None:
    lift = one_strut()
    first = read(lift).content_hash
    assert read(rewritten(lift)).content_hash == first
    assert read(dict(reversed(lift.items()))).content_hash == first
    text = "# a remark\n" + json.dumps(lift)
    assert parse_lift(text, read_text=no_file).content_hash == first


def test_minus_zero_is_zero() -> None:
    lift = one_strut()
    first = read(lift).content_hash
    lift["load"]["lift_points"]["A"]["at"][1] = "-0 m"
    assert read(lift).content_hash == first


def test_equipment_that_is_not_used_does_not_change_the_hash() -> None:
    lift = one_strut()
    first = read(lift).content_hash
    lift["equipment"].append({**lift["equipment"][0], "serial": "R99"})
    assert read(lift).content_hash == first
    lift["equipment"][0]["wll"] = "10.001 t"
    assert read(lift).content_hash != first


def test_the_strut_family_belongs_to_the_content_where_it_is_used() -> None:
    lift = one_strut()
    first = read(lift).content_hash
    lift["strut_families"] = {**lift["strut_families"], "D999": FAMILY}
    assert read(lift).content_hash == first
    lift["strut_families"]["D140"] = {**FAMILY, "wall": "8.1 mm"}
    assert read(lift).content_hash != first


def test_an_explicit_default_is_the_default() -> None:
    lift = one_strut()
    first = read(lift).content_hash
    lift["rules"] = {"crane_use_limit": "85 %"}
    assert read(lift).content_hash == first
    lift["rules"] = {"crane_use_limit": "84 %"}
    assert read(lift).content_hash != first


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("20367 kg", "20368 kg"),
        ("rated_load: 20 t, ", ""),
        ("[RS-20-01, RS-20-02]", "[RS-20-02, RS-20-01]"),
        ("radius: 14 m", "radius: 14.001 m"),
        ("source: report GR-7", "source: report GR-8"),
        ("revision: B", "revision: C"),
    ],
)
def test_any_change_of_content_changes_the_hash(old: str, new: str) -> None:
    assert read_example(EXAMPLE_TEXT.replace(old, new, 1)).content_hash != read_example().content_hash


def test_the_hash_is_64_hexadecimal_digits_and_the_same_on_every_reading() -> None:
    first, second = read_example().content_hash, read_example().content_hash
    assert first == second
    assert len(first) == 64
    assert int(first, 16) > 0


@settings(max_examples=30)
@given(mass=st.decimals(min_value=1, max_value=100, places=3))
def test_a_mass_in_tonnes_is_the_same_mass_in_kilograms(mass: object) -> None:
    assert parse_quantity(f"{mass} t", Kind.MASS) == parse_quantity(f"{1000 * mass} kg", Kind.MASS)


PART = {"name": "block", "mass": "4 t", "at": ["0 m", "0 m", "0.2 m"]}


def test_what_a_part_may_say_counts_once_it_is_said() -> None:
    lift = one_strut()
    lift["load"]["parts"] = [dict(PART)]
    first = read(lift).content_hash
    for more, same in (({"opening": False}, True), ({"tolerance": "2 %"}, False), ({"state": "dry"}, False)):
        lift["load"]["parts"] = [PART | more]
        assert (read(lift).content_hash == first) is same
    lift["load"]["parts"] = [dict(PART)]
    lift["load"]["weight"]["errors"] = "worst"
    assert read(lift).content_hash == first
    lift["load"]["weight"]["errors"] = "independent"
    assert read(lift).content_hash != first
