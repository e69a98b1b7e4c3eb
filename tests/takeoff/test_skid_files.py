"""An assembly in STEP and in IFC: several materials, an opening, a copy, a part without material."""

import math

import pytest
from tests.takeoff.files import model

from solid_files import figures as f

FILES = ("skid.step", "skid.ifc")
COVER = {"cover": "7850 kg/m3"}
BEAM_KG = f.box_volume(f.BEAM_SIZE) * f.STEEL


def masses(report) -> dict[str, float]:
    return {one.solid.name: one.mass_kg for one in report.solids}


@pytest.mark.parametrize("name", FILES)
def test_every_part_is_weighed_by_its_own_material(name: str) -> None:
    found = {key.replace("(", "").replace(")", ""): value for key, value in masses(model(name)).items()}
    assert found["deck"] == pytest.approx(f.deck_volume() * f.CONCRETE)
    assert found["frame / beam west"] == pytest.approx(BEAM_KG)
    assert found["frame / beam east"] == pytest.approx(BEAM_KG)
    assert found["tank"] == pytest.approx(f.tank_volume() * f.ALUMINIUM)
    assert math.isnan(found["cover"])


@pytest.mark.parametrize("name", FILES)
def test_the_report_names_the_copy_and_the_part_without_material(name: str) -> None:
    report = model(name)
    questions = "\n".join(report.questions)
    assert "cover: no density and no material" in questions
    assert "east and frame / beam east again" in questions.replace("(", "").replace(")", "")
    assert "the same shape at the same place 2 times" in questions
    assert not report.is_complete
    assert math.isnan(report.mass_kg)
    assert all(math.isnan(value) for value in report.cog_m)
    assert math.isnan(report.mass_coverage)
    covered = sum(one.solid.shape.volume_m3 for one in report.solids if one.solid.name != "cover")
    total = covered + f.box_volume(f.COVER_SIZE)
    assert report.volume_coverage == pytest.approx(covered / total)


def test_the_opening_is_cut_and_named() -> None:
    deck = next(one for one in model("skid.ifc").solids if one.solid.name == "deck")
    assert deck.solid.shape.volume_m3 == pytest.approx(f.deck_volume(), rel=1e-9)
    assert deck.remarks == ("1 opening cut out",)


def test_the_declared_weight_of_the_pump_goes_before_volume_times_density() -> None:
    pump = next(one for one in model("skid.ifc").solids if one.solid.name == "pump")
    assert pump.mass_kg == f.PUMP_KG
    assert pump.source == "GrossWeight in Qto_PumpBaseQuantities"
    weighed = model("skid.ifc", densities={"pump": "7850 kg/m3"})
    pump = next(one for one in weighed.solids if one.solid.name == "pump")
    assert pump.mass_kg == f.PUMP_KG
    assert "declared 1850 kg, but volume times density" in pump.remarks[0]


def test_a_sheet_is_left_out_with_its_reason() -> None:
    left_out = model("skid.step").model.left_out
    assert [one.name for one in left_out] == ["hood"]
    assert "no volume" in left_out[0].reason


@pytest.mark.parametrize("name", FILES)
def test_with_answers_the_total_is_the_sum_of_the_parts(name: str) -> None:
    report = model(name, densities=COVER, duplicates="once")
    weights = {
        "deck": (f.deck_volume() * f.CONCRETE, (3.0, 1.5, 0.125)),
        "west": (BEAM_KG, (3.0, 0.1, -0.15)),
        "east": (BEAM_KG, (3.0, 2.9, -0.15)),
        "tank": (f.tank_volume() * f.ALUMINIUM, (4.5, 1.5, 1.0)),
        "cover": (f.box_volume(f.COVER_SIZE) * f.STEEL, (0.9, 1.4, 0.45)),
    }
    if name == "skid.ifc":
        weights["pump"] = (f.PUMP_KG, (1.8, 1.4, 0.7))
        assert report.questions == ()
        total = math.fsum(mass for mass, _ in weights.values())
        assert report.mass_kg == pytest.approx(total, rel=1e-9)
        centre = [math.fsum(mass * at[k] for mass, at in weights.values()) / total for k in range(3)]
        assert report.cog_m == pytest.approx(centre, abs=1e-9)
        assert report.mass_coverage == 1.0
    else:
        assert [question.partition(":")[0] for question in report.questions] == ["hood"]
        assert report.known_mass_kg == pytest.approx(
            math.fsum(mass for mass, _ in weights.values()), rel=1e-9
        )
        assert math.isnan(report.mass_kg)


def test_a_copy_counts_every_time_if_the_user_says_so() -> None:
    once = model("skid.ifc", densities=COVER, duplicates="once")
    every = model("skid.ifc", densities=COVER, duplicates="all")
    assert every.mass_kg - once.mass_kg == pytest.approx(BEAM_KG)


def test_an_assumed_density_covers_no_mass() -> None:
    report = model("skid.ifc", densities={"*": "7850 kg/m3"}, duplicates="once")
    cover = f.box_volume(f.COVER_SIZE) * f.STEEL
    assert report.mass_coverage == pytest.approx(1.0 - cover / report.mass_kg)
    assert report.is_complete


def test_parts_that_only_stand_on_one_another_do_not_overlap() -> None:
    assert model("skid.step").model.overlaps == ()
    assert model("skid.ifc").model.overlaps == ()


def test_lugs_without_a_body_are_points_to_lift_by() -> None:
    points = {one.name: one.at_m for one in model("skid.ifc").model.points}
    assert points == {name: pytest.approx(at) for name, at in f.LUGS.items()}
    names = {one.name: one.at_m for one in model("skid.step").model.points}
    assert names["lug NE"] == pytest.approx((6.0, 3.0, 0.25))
    assert names["top of deck"] == pytest.approx((3.0, 1.5, 0.25))
