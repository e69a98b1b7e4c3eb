"""Slings and shackles that are not used straight and in line: what rating they keep, and what is not rated."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.scenarios.variants import assessed, example

from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.model.equipment import Item, ItemKind
from plumbhook.model.use import Temperatures, Use
from plumbhook.planning import assess
from plumbhook.planning.reductions import reductions_of

SEGMENT, SKID = "hallowmere-viaduct", "marrow-lane"
V1 = "V1: {from: S1.a,"
PLACE = "place:\n  crane:"


def used(words: str, folder: str = SEGMENT, line: str = V1):
    return assess(
        example(folder, (line, f"{line.partition('{')[0]}{{use: {{{words}}}, {line.partition('{')[2]}"))
    )


def at(low: str, high: str, folder: str = SKID):
    return assess(
        example(folder, (PLACE, f'place:\n  temperature: {{lowest: "{low}", highest: "{high}"}}\n  crane:'))
    )


def item(kind: ItemKind, **given) -> Item:
    return Item("X-1", kind, "item", wll_kg=10_000.0, **given)


def product(found) -> float:
    return math.prod(reduction.factor for reduction in found)


def test_a_choked_roundsling_keeps_eight_tenths_and_less_at_a_tight_angle():
    # EN 1492-2: M = 0.8 choked; ASME B30.9, as copied by the trade: 0.87 from 90 to 120 degrees.
    straight = assessed(SEGMENT).check("line.V1.0")
    choked = used("hitch: choke, angle_of_choke: 100 deg").check("line.V1.0")
    assert straight.capacity.value == 20_000.0
    assert choked.capacity.value == pytest.approx(0.8 * 0.87 * 20_000.0)
    assert choked.demand.value == straight.demand.value
    assert [step.result.symbol for step in choked.steps][-1] == "WLL_red"
    assert choked.status is Status.FAIL
    assert "with a marked rated load of at least" in choked.cure


def test_a_side_load_takes_from_the_shackle_and_not_from_the_sling():
    assessment = used("side_load: 30 deg")
    # ASME B30.26: 70 % up to 45 degrees off the axis.
    assert assessment.check("line.V1.1").capacity.value == pytest.approx(0.7 * 17_000.0)
    assert assessment.check("line.V1.0").capacity.value == 20_000.0


@pytest.mark.parametrize(
    ("words", "position", "reason"),
    [
        ("side_load: 100 deg", 1, "beyond 90 degrees off its axis"),
        ("side_load: 20 deg, round_pin: true", 1, "round pin takes no side load"),
        ("angle_in_bow: 140 deg", 1, "no more than 120 degrees"),
        ("hitch: basket, basket_angle: 65 deg", 0, "beyond 60 degrees"),
    ],
)
def test_a_use_that_is_not_rated_is_refused_outright(words, position, reason):
    check = used(words).check(f"line.V1.{position}")
    assert check.status is Status.FAIL
    assert reason in check.refused_because


def test_heat_and_cold_count_for_every_item_and_an_ordinary_day_for_none():
    ordinary = at("-5 °C", "30 °C")
    assert ordinary.status is Status.PASS
    assert ordinary.check("line.T1.0").capacity.value == assessed(SKID).check("line.T1.0").capacity.value
    # EN 818-6: 90 % of the rating of grade 8 chain from 200 to 300 degrees; roundslings are then out of their limits.
    hot = at("20 °C", "250 °C")
    assert hot.check("line.T1.0").capacity.value == pytest.approx(0.9 * 12_500.0)
    assert hot.status is Status.FAIL


@pytest.mark.parametrize(
    ("kind", "high", "factor"),
    [
        (ItemKind.CHAIN_SLING, 190.0, 1.0),
        (ItemKind.CHAIN_SLING, 350.0, 0.75),
        (ItemKind.SHACKLE, 200.0, 1.0),
        (ItemKind.WIRE_ROPE_SLING, 90.0, 1.0),
        (ItemKind.ROUNDSLING, 80.0, 1.0),
        (ItemKind.MASTER_LINK, 60.0, 1.0),
    ],
)
def test_rated_loads_kept_in_the_heat(kind, high, factor):
    assert product(reductions_of(item(kind), None, Temperatures(lowest=10.0, highest=high))) == factor


@pytest.mark.parametrize(
    ("kind", "low", "high", "refused"),
    [
        (ItemKind.CHAIN_SLING, -50.0, 20.0, True),
        (ItemKind.CHAIN_SLING, 20.0, 450.0, True),
        (ItemKind.SHACKLE, -45.0, 20.0, True),
        (ItemKind.WIRE_ROPE_SLING, 20.0, 95.0, True),
        (ItemKind.WIRE_ROPE_SLING, -60.0, 20.0, True),
        (ItemKind.BELLY_SLING, 20.0, 85.0, True),
        (ItemKind.MASTER_LINK, -30.0, 20.0, False),
    ],
)
def test_beyond_its_limits_an_item_is_refused_or_its_maker_asked(kind, low, high, refused):
    (found,) = reductions_of(item(kind), None, Temperatures(lowest=low, highest=high))
    assert math.isnan(found.factor)
    assert bool(found.refusal) is refused


def test_a_wire_rope_is_bent_by_its_own_diameter_and_not_rated_where_that_is_unknown():
    # 1 - 0.5/sqrt(D/d), as quoted in 0027/ND 7.8.1: D/d 4 keeps 75 %.
    over = Use(bent_over="104 mm")
    assert product(reductions_of(item(ItemKind.WIRE_ROPE_SLING, thickness_m=0.026), over, None)) == 0.75
    (unknown,) = reductions_of(item(ItemKind.WIRE_ROPE_SLING), over, None)
    assert math.isnan(unknown.factor)
    assert not unknown.refusal


@given(st.sampled_from(ItemKind), st.floats(-200.0, 600.0), st.floats(0.0, 300.0), st.floats(0.0, 180.0))
def test_no_heat_or_side_load_ever_raises_a_rating(kind, low, more, degrees):
    use = Use(side_load=f"{degrees:.6f} deg")
    for reduction in reductions_of(item(kind), use, Temperatures(lowest=low, highest=low + more)):
        assert math.isnan(reduction.factor) or 0.0 < reduction.factor <= 1.0


@pytest.mark.parametrize(
    ("words", "field", "told"),
    [
        ("bent_over: 60 mm", "rig.lines.V1.use.bent_over", "there is no wire rope sling in V1"),
        ("angle_of_choke: 100 deg", "rig.lines.V1.use", "the hitch is no choke"),
        ("basket_angle: 20 deg", "rig.lines.V1.use", "the hitch is no basket"),
        ("hitch: basket", "rig.lines.V1.use", "give basket_angle"),
        ("hitch: knot", "rig.lines.V1.use.hitch", "straight"),
    ],
)
def test_a_use_that_makes_no_sense_is_told_by_its_field(words, field, told):
    with pytest.raises(InputError) as caught:
        used(words)
    (problem,) = caught.value.problems
    assert problem.field == field
    assert told in problem.message


@pytest.mark.parametrize(
    ("low", "high", "told"),
    [
        ("30 °C", "20 °C", "exchange them"),
        ("-300 °C", "20 °C", "colder than anything"),
        ("5", "20 °C", "with its unit"),
        ("5 K", "20 °C", "with its unit"),
    ],
)
def test_a_temperature_needs_a_unit_and_a_meaning(low, high, told):
    with pytest.raises(InputError, match=told):
        at(low, high)


def test_fahrenheit_is_read_as_what_it_is():
    assert at("14 °F", "86 F").status is Status.PASS
