"""What solids weigh together, where each mass comes from, and what keeps a total open."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.model import meshes

from plumbhook.core.errors import InputError
from plumbhook.model.mass_properties import mesh_mass_properties
from plumbhook.model.solids import LeftOut, MassSource, Overlap, Solid, SolidModel, duplicates_of
from plumbhook.takeoff.densities import densities_of_csv, densities_of_mapping, densities_of_texts
from plumbhook.takeoff.solids import weigh


def solid(name="a", low=(0.0, 0.0, 0.0), size=(1.0, 1.0, 1.0), **facts) -> Solid:
    return Solid(name, mesh_mass_properties(*meshes.box(low, size)), **facts)


def report(*solids, densities=None, duplicates="ask", **facts):
    model = SolidModel("STEP", "mm", "z up", solids, **facts)
    return weigh(model, densities_of_mapping(densities or {}), duplicates=duplicates, source="m.step")


def only(found):
    return found.solids[0]


def test_a_declared_weight_goes_before_a_given_density_and_that_before_the_one_of_the_model() -> None:
    facts = {"material": "steel", "density_kg_m3": 7800.0, "density_source": "model"}
    by_weight = only(report(solid(declared_mass_kg=5000.0, declared_source="GrossWeight", **facts)))
    assert (by_weight.mass_kg, by_weight.mass_source) == (5000.0, MassSource.DECLARED)
    given_one = only(report(solid(**facts), densities={"steel": "7850 kg/m3"}))
    assert (given_one.mass_kg, given_one.mass_source) == (7850.0, MassSource.GIVEN_DENSITY)
    of_model = only(report(solid(**facts), densities={"*": "1 t/m3"}))
    assert (of_model.mass_kg, of_model.mass_source) == (7800.0, MassSource.MODEL_DENSITY)
    assumed = only(report(solid(), densities={"*": "1 t/m3"}))
    assert (assumed.mass_kg, assumed.mass_source, assumed.is_real) == (
        1000.0,
        MassSource.ASSUMED_DENSITY,
        False,
    )


def test_a_solid_without_density_has_no_mass_and_keeps_the_total_open() -> None:
    found = report(
        solid("a", material="steel", density_kg_m3=7850.0), solid("b", (3.0, 0.0, 0.0), material="rubber")
    )
    assert math.isnan(found.solids[1].mass_kg)
    assert math.isnan(found.mass_kg)
    assert np.isnan(found.inertia_kg_m2).all()
    assert np.isnan(found.solids[1].inertia_kg_m2).all()
    assert found.known_mass_kg == 7850.0
    assert found.questions == ("b: no density for rubber; give one by material or by name",)
    assert math.isnan(found.mass_coverage)
    assert found.volume_coverage == pytest.approx(0.5)


@pytest.mark.parametrize(
    "facts", [{"left_out": (LeftOut("hood", "it is open"),)}, {"questions": ("something",)}]
)
def test_what_is_left_out_or_asked_keeps_the_total_open(facts) -> None:
    found = report(solid(density_kg_m3=7850.0), **facts)
    assert not found.is_complete
    assert math.isnan(found.mass_kg)


def test_a_model_without_solids_has_no_total() -> None:
    found = report()
    assert not found.is_complete
    assert math.isnan(found.mass_kg)
    assert math.isnan(found.volume_coverage)


@pytest.mark.parametrize("density", [7.85, 0.0, -7850.0, 7_850_000.0])
def test_a_density_in_the_wrong_unit_is_not_used(density) -> None:
    found = report(solid(density_kg_m3=density))
    assert math.isnan(only(found).mass_kg)
    assert "cannot be right and is not used" in found.remarks[0]


@pytest.mark.parametrize("mass", [0.0, -12.0])
def test_a_declared_weight_of_nothing_is_not_used(mass) -> None:
    one = only(report(solid(declared_mass_kg=mass, density_kg_m3=2400.0)))
    assert one.mass_kg == 2400.0
    assert "cannot be right" in one.remarks[0]


def test_declared_weight_and_volume_times_density_are_compared() -> None:
    far = only(report(solid(declared_mass_kg=2600.0, density_kg_m3=2400.0)))
    assert "find out which" in far.remarks[0]
    near = only(report(solid(declared_mass_kg=2500.0, density_kg_m3=2400.0)))
    assert near.remarks == ()


def test_copies_are_found_and_counted_as_the_user_says() -> None:
    three = [
        solid(name, (at, 0.0, 0.0), density_kg_m3=1000.0) for name, at in (("a", 0.0), ("b", 2.0), ("c", 0.0))
    ]
    asked = report(*three)
    assert asked.duplicates == ((0, 2),)
    assert "a and c: the same shape at the same place 2 times" in asked.questions[0]
    assert report(*three, duplicates="once").mass_kg == 2000.0
    assert report(*three, duplicates="all").mass_kg == 3000.0
    assert report(*three, duplicates="once").remarks == ("a: 2 times at the same place, counted once",)


@given(shift=st.floats(1e-4, 10.0), axis=st.integers(0, 2))
def test_a_part_that_is_moved_is_no_copy(shift, axis) -> None:
    low = [0.0, 0.0, 0.0]
    low[axis] = shift
    assert duplicates_of((solid("a"), solid("b", tuple(low)))) == ()


def test_a_part_of_the_same_size_that_is_turned_is_no_copy() -> None:
    lying, standing = solid("a", size=(1.0, 2.0, 1.0)), solid("b", (-0.5, 0.5, 0.0), size=(2.0, 1.0, 1.0))
    assert lying.shape.centroid_m == standing.shape.centroid_m
    assert duplicates_of((lying, standing)) == ()


@given(masses=st.lists(st.floats(100.0, 20_000.0), min_size=1, max_size=6))
def test_total_and_centre_are_those_of_the_parts_list(masses) -> None:
    # sum m and sum m r / sum m: the bill of weights of any textbook of statics.
    solids = tuple(solid(f"s{k}", (2.0 * k, k, -k), density_kg_m3=mass) for k, mass in enumerate(masses))
    found = report(*solids)
    assert found.mass_kg == pytest.approx(sum(masses))
    moments = [sum(m * s.shape.centroid_m[i] for m, s in zip(masses, solids, strict=True)) for i in range(3)]
    assert found.cog_m == pytest.approx([moment / sum(masses) for moment in moments])
    count = len(masses)
    assert found.box_m == (
        pytest.approx((0.0, 0.0, 1.0 - count)),
        pytest.approx((2.0 * count - 1.0, count, 1.0)),
    )


def test_overlaps_are_remarks_that_name_both() -> None:
    found = report(
        solid("a", density_kg_m3=1000.0), solid("b", (0.5, 0.5, 0.5), density_kg_m3=1000.0),
        overlaps=(Overlap(0, 1, (0.5, 0.75, 0.75)),),
    )  # fmt: skip
    assert found.remarks == ("a overlaps b near (0.500, 0.750, 0.750) m; what they share is counted twice",)
    assert found.is_complete


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("steel=-7850 kg/m3", "check the sign"),
        ("steel=7.85 kg/m3", "check the number and the unit"),
        ("steel=7850", "steel: "),
        ("steel=heavy", "steel: "),
        ("steel", "write NAME=DENSITY"),
        ("=7850 kg/m3", "write NAME=DENSITY"),
        ("steel=nan kg/m3", "steel: "),
    ],
)
def test_a_density_that_is_none_is_one_sentence(text, sentence) -> None:
    with pytest.raises(InputError) as refused:
        densities_of_texts([text])
    assert len(refused.value.problems) == 1
    assert sentence in refused.value.problems[0].message


def test_all_wrong_densities_are_told_at_once() -> None:
    with pytest.raises(InputError) as refused:
        densities_of_texts(["a=1", "b", "c=7850 kg/m3", "d=-1 t/m3"])
    assert len(refused.value.problems) == 3


def test_a_density_that_fits_nothing_suggests_the_nearest_name() -> None:
    with pytest.raises(InputError, match="did you mean steel S355"):
        report(solid(material="steel S355"), densities={"steel S35": "7850 kg/m3"})
    with pytest.raises(InputError, match="there are: a"):
        report(solid("a"), densities={"xyz": "7850 kg/m3"})


def test_a_name_goes_before_a_material_and_that_before_a_pattern() -> None:
    densities = {"steel*": "7 t/m3", "Steel S355": "7.8 t/m3", "B": "7.9 t/m3"}
    found = report(
        solid("a", material="steel S355"), solid("b", (2.0, 0.0, 0.0), material="steel S355"),
        solid("c", (4.0, 0.0, 0.0), material="steel X"), densities=densities,
    )  # fmt: skip
    assert [one.mass_kg for one in found.solids] == [7800.0, 7900.0, 7000.0]


def test_two_patterns_that_disagree_are_refused() -> None:
    with pytest.raises(InputError, match="two densities for a"):
        report(solid("a", material="steel"), densities={"st*": "7 t/m3", "*el": "8 t/m3"})
    with pytest.raises(InputError, match="two densities"):
        weigh(
            SolidModel("STEP", "mm", "z up", (solid(),)), densities_of_texts(["*=1 t/m3", "*=2 t/m3"])
        )  # fmt: skip


def test_densities_of_a_file_carry_their_source_and_their_line() -> None:
    text = "name,density,source\nsteel,7850 kg/m3,EN 1991-1-1\n\nrubber,1.2 t/m3,maker's sheet\n"
    found = densities_of_csv(text, "d.csv")
    assert [(one.name, one.density_kg_m3, one.source, one.line) for one in found] == [
        ("steel", 7850.0, "EN 1991-1-1", 2),
        ("rubber", 1200.0, "maker's sheet", 4),
    ]
    weighed = weigh(
        SolidModel(
            "STEP", "mm", "z up", (solid(material="steel"), solid("r", (2.0, 0.0, 0.0), material="rubber"))
        ),
        found,
    )
    assert weighed.solids[0].source == "volume 1 m³ × 7850 kg/m³, EN 1991-1-1 for steel"


@pytest.mark.parametrize(
    ("text", "line", "sentence"),
    [
        ("", 1, "the first line must be name,density,source"),
        ("name,density\n", 1, "the first line must be name,density,source; it is name,density"),
        ("name,density,source\n", None, "there is no density in the file"),
        ("name,density,source\nsteel,7850\n", 2, "a line has 3 cells"),
        ("name,density,source\nsteel,7850 kg/m3,\n", 2, "there is no text here"),
        ("name,density,source\nsteel,-1 kg/m3,x\n", 2, "check the sign"),
        ('name,density,source\n"steel,7850 kg/m3,x\n', 2, "this is no CSV"),
    ],
)
def test_a_wrong_file_of_densities_names_its_line(text, line, sentence) -> None:
    with pytest.raises(InputError) as refused:
        densities_of_csv(text, "d.csv")
    problem = refused.value.problems[0]
    assert sentence in problem.message
    assert problem.line == line
    assert problem.source == "d.csv"


@pytest.mark.parametrize("number", [math.nan, math.inf])
def test_a_solid_is_made_of_finite_numbers(number) -> None:
    with pytest.raises(ValueError, match="finite"):
        solid(density_kg_m3=number)
    with pytest.raises(ValueError, match="finite"):
        solid(declared_mass_kg=number)
    with pytest.raises(ValueError, match="volume above zero"):
        Solid("a", mesh_mass_properties(*meshes.turned_over(meshes.box())))
