"""What scatters in a lift: bands by the source of each number, all open to the lift file."""

import math

import numpy as np
import pytest
from scipy import stats
from tests.planning import small_lifts
from tests.scenarios.variants import example

from plumbhook.core.errors import InputError, NotEvaluatedError
from plumbhook.planning.assess import state_problem
from plumbhook.planning.tolerance_defaults import (
    STANDARD_DEVIATIONS,
    Shape,
    chain_legs_differ_m,
    chain_pitch_m,
)
from plumbhook.planning.tolerance_inputs import mass_shape, scattered_inputs
from plumbhook.planning.tolerance_run import draw

TOLERANCES = "\ntolerances:\n"


def inputs_of(lift):
    return scattered_inputs(lift, state_problem(lift).rig)


def row(inputs, name):
    return next(row for row in inputs.rows if row.name == name)


def small(*lines):
    return small_lifts.read(
        small_lifts.BRIDLE_OF_FOUR + TOLERANCES + "".join(f"  {line}\n" for line in lines)
    )


@pytest.mark.parametrize(
    ("shape", "distribution"),
    [
        (Shape.UNIFORM, stats.uniform(-1.0, 2.0)),
        (Shape.TRIANGULAR, stats.triang(0.5, -1.0, 2.0)),
        (Shape.NORMAL, stats.norm(0.0, 0.5)),
    ],
)
def test_every_shape_is_the_distribution_of_its_name(shape, distribution):
    lift = small(f"mass: {{shape: {shape.value}, half_width: 10 %, source: test}}")
    inputs = inputs_of(lift)
    number = [r.name for r in inputs.rows].index("mass of the load")
    drawn = np.concatenate([draw(inputs, 7, block)[:, number] for block in range(4)]) / 0.1
    assert stats.kstest(drawn, distribution.cdf).pvalue > 1e-3
    # JCGM 100:2008 (GUM): a/sqrt 3 (4.3.7), a/sqrt 6 (4.3.9), U/2 (6.2).
    assert STANDARD_DEVIATIONS[shape] == pytest.approx(distribution.std(), rel=1e-12)
    assert row(inputs, "mass of the load").standard_deviation == pytest.approx(
        0.1 * distribution.std(), rel=1e-12
    )


@pytest.mark.parametrize(
    ("source", "shape"),
    [
        ("weighed on four load cells", Shape.NORMAL),
        ("weighbridge ticket", Shape.NORMAL),
        ("weight summed from drawings, not weighed", Shape.UNIFORM),
        ("unweighed, catalogue", Shape.UNIFORM),
        ("to be weighed on site", Shape.UNIFORM),
        ("sum of eight parts", Shape.UNIFORM),
    ],
)
def test_a_weighed_mass_scatters_like_an_instrument_any_other_anywhere_in_its_band(source, shape):
    assert mass_shape(source)[0] is shape


def test_slings_are_as_long_as_their_standard_lets_them_be():
    inputs = inputs_of(example("hallowmere-viaduct"))
    round_sling = row(inputs, "length of RS-20-09")
    assert round_sling.half_width == pytest.approx(0.02 * 2.1)
    assert "EN 1492-2" in round_sling.source
    # Two slings side by side: the line has their mean.
    lines = dict(zip(inputs.lines, inputs.length, strict=True))
    assert sorted(lines["T1"][lines["T1"] != 0.0]) == [0.5, 0.5]


def test_the_pitch_of_a_chain_follows_from_its_rated_load():
    # EN 818-2: 12.8 t for a chain of 20 mm, whose pitch is 60 mm.
    assert chain_pitch_m(12_814.0, 9.80665) == pytest.approx(0.060, rel=2e-3)


@pytest.mark.parametrize(("length_m", "difference_m"), [(1.0, 0.010), (2.0, 0.010), (6.0, 0.030)])
def test_the_legs_of_a_chain_sling_differ_as_the_table_allows(length_m, difference_m):
    # EN 818-4 Table 2, legs joined by mechanical devices.
    assert chain_legs_differ_m(length_m) == pytest.approx(difference_m)


def test_the_legs_of_one_chain_sling_share_an_error():
    inputs = inputs_of(example("marrow-lane"))
    common = [r.name for r in inputs.rows].index("length of all legs of CH-20-4L-01")
    assert [name for name, effect in zip(inputs.lines, inputs.length, strict=True) if effect[common]] == [
        "T1", "T2", "T3", "T4",
    ]  # fmt: skip


def test_a_matched_set_shares_its_error_and_differs_by_what_is_stated():
    lift = small("matched_sets: [{items: [RS-1, RS-2, RS-3, RS-4], difference: 6 mm, source: certificate}]")
    inputs = inputs_of(lift)
    assert row(inputs, "length of matched set 1").half_width == pytest.approx(0.06)
    assert row(inputs, "length of RS-3 in its set").half_width == pytest.approx(0.003)
    lengths = draw(inputs, 1, 0) @ inputs.length.T
    assert np.ptp(lengths, axis=1).max() <= 0.006
    assert lengths.std() > 0.03


def test_every_number_can_be_stated_otherwise():
    lift = small(
        "mass: {shape: normal, half_width: 3 %, source: s}",
        "cog: {shape: triangular, source: s}",
        "sling_lengths: {roundsling: {half_width: 1 %, at_least: 40 mm, source: s}}",
        "stiffness: {roundsling: {together: 5 %, each: 0 %, source: s}}",
    )
    inputs = inputs_of(lift)
    assert row(inputs, "mass of the load").half_width == 0.03
    assert row(inputs, "centre of gravity, z").shape is Shape.TRIANGULAR
    assert row(inputs, "length of RS-1").half_width == pytest.approx(0.04)
    assert [r.name for r in inputs.rows if r.group == "stiffness"] == ["stiffness of all roundslings"]
    assert all(r.source.startswith("s (tolerances.") for r in inputs.rows)


def test_a_measured_line_has_the_error_of_its_measurement_alone():
    text = small_lifts.BRIDLE_OF_FOUR.replace("items: [RS-1]}", "items: [RS-1], length: 3.02 m}")
    inputs = inputs_of(small_lifts.read(text))
    assert row(inputs, "measured length of T1").half_width == pytest.approx(0.005)
    assert not any(r.name == "length of RS-1" for r in inputs.rows)


def test_stiffness_in_series_adds_compliances():
    inputs = inputs_of(example("hallowmere-viaduct"))
    x = draw(inputs, 1, 0)[:5]
    factors = inputs.stiffness_factors(x)
    common = [r.name for r in inputs.rows].index("stiffness of all roundslings")
    own = [r.name for r in inputs.rows].index("stiffness of RS-20-09 in M1")
    number = inputs.lines.index("M1")
    assert factors[:, number] == pytest.approx(1.0 + x[:, common] + x[:, own], rel=1e-12)


def test_every_input_names_its_source():
    for name in ("hallowmere-viaduct", "marrow-lane"):
        assert all(r.source for r in inputs_of(example(name)).rows)


@pytest.mark.parametrize(
    ("line", "field", "words"),
    [
        ("matched_sets: [{items: [RS-1, RS-9], difference: 5 mm, source: s}]", "[0].items", "RS-9 hangs in no line"),
        ("matched_sets: [{items: [RS-1, RS-1], difference: 5 mm, source: s}]", "[0].items", "named twice"),
        ("mass: {shape: bell, source: s}", "mass", "shape"),
        ("mass: {half_width: -1 %, source: s}", "mass", "half_width"),
        ("sling_lengths: {rope: {half_width: 1 %, source: s}}", "sling_lengths", "rope"),
        ("cog: {shape: uniform}", "cog", "source"),
        ("sling_lenghts: {}", "sling_lenghts", "sling_lengths"),
    ],
)  # fmt: skip
def test_a_wrong_tolerance_is_refused_in_a_sentence_with_its_field(line, field, words):
    with pytest.raises(InputError) as raised:
        inputs_of(small(line))
    assert field in str(raised.value)
    assert words in str(raised.value)


def test_a_tolerance_that_nobody_knows_is_not_guessed():
    lift = example("hallowmere-viaduct")
    weight = lift.file.load.weight.model_copy(update={"declared_tolerance": math.nan})
    load = lift.file.load.model_copy(update={"weight": weight})
    unknown = type(lift)(
        lift.file.model_copy(update={"load": load}), lift.items, lift.families, lift.content_hash, lift.source
    )
    with pytest.raises(NotEvaluatedError, match="mass of the load is not known"):
        scattered_inputs(unknown, state_problem(lift).rig)


def test_a_lift_without_tolerances_keeps_its_hash_and_one_with_them_has_another():
    plain = small_lifts.read(small_lifts.BRIDLE_OF_FOUR)
    assert small("accepted_share: 0.1 %").content_hash != plain.content_hash
