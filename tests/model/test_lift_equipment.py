"""Equipment: stock files, strut families, and section properties held against a published table.

Published: EN 10210-2:2006, annex B, circular hollow sections (area, second moment of area, radius of gyration,
elastic and plastic section modulus, to the digits printed there); transcribed from memory.
"""

import dataclasses
import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lift_texts import EXAMPLE, one_strut, read

from plumbhook.core.errors import InputError
from plumbhook.model.equipment import (
    ItemKind,
    StrutFamily,
    area_m2,
    plastic_modulus_m3,
    radius_of_gyration_m,
    second_moment_m4,
    section_modulus_m3,
)
from plumbhook.model.stock import read_chart, read_stock, read_strut_families


def tube(diameter_m: float, wall_m: float) -> StrutFamily:
    return StrutFamily(
        name="T",
        outside_diameter_m=diameter_m,
        wall_m=wall_m,
        steel="S355",
        yield_strength_Pa=355e6,
        elastic_modulus_Pa=210e9,
        buckling_curve="a",
        end_offset_m=0.2,
        pin_offset_m=0.008,
        line_mass_kg_per_m=50.0,
        joint_bolts="",
        joint_torque_Nm=None,
        joint_mass_kg=5.0,
    )


@pytest.mark.parametrize(
    ("diameter", "wall", "area_cm2", "inertia_cm4", "radius_cm", "elastic_cm3", "plastic_cm3"),
    [
        (0.1397, 0.008, 33.1, 720, 4.66, 103, 139),
        (0.2191, 0.010, 65.7, 3598, 7.40, 328, 438),
        (0.3239, 0.0125, 122, 14847, 11.0, 917, 1213),
    ],
)
def test_tubes_have_their_published_section_properties(
    diameter: float,
    wall: float,
    area_cm2: float,
    inertia_cm4: float,
    radius_cm: float,
    elastic_cm3: float,
    plastic_cm3: float,
) -> None:
    family = tube(diameter, wall)
    assert area_m2(family) * 1e4 == pytest.approx(area_cm2, rel=5e-3)
    assert second_moment_m4(family) * 1e8 == pytest.approx(inertia_cm4, rel=1e-3)
    assert radius_of_gyration_m(family) * 1e2 == pytest.approx(radius_cm, rel=3e-3)
    assert section_modulus_m3(family) * 1e6 == pytest.approx(elastic_cm3, rel=2e-3)
    assert plastic_modulus_m3(family) * 1e6 == pytest.approx(plastic_cm3, rel=2e-3)


@given(diameter=st.floats(0.05, 1.0), share=st.floats(0.01, 1.0))
def test_a_tube_is_a_rod_less_its_bore(diameter: float, share: float) -> None:
    family, rod = tube(diameter, share * diameter / 2), tube(diameter, diameter / 2)
    bore = tube(diameter * (1 - share), diameter * (1 - share) / 2)
    assert area_m2(family) + area_m2(bore) == pytest.approx(area_m2(rod))
    assert second_moment_m4(family) + second_moment_m4(bore) == pytest.approx(second_moment_m4(rod))
    assert plastic_modulus_m3(family) + plastic_modulus_m3(bore) == pytest.approx(plastic_modulus_m3(rod))
    assert plastic_modulus_m3(family) >= section_modulus_m3(family)


@pytest.fixture(scope="module")
def stock():
    return read_stock((EXAMPLE / "stock.csv").read_text(encoding="utf-8"), "stock.csv")


def test_a_stock_is_read_in_si(stock) -> None:
    sling, shackle, chain = stock["RS-20-01"], stock["SH-35-01"], stock["CH-20-4L-01"]
    assert (sling.kind, sling.wll_kg, sling.length_m) == (ItemKind.ROUNDSLING, 20_000.0, 4.3)
    assert sling.elongation_at_wll_ratio == 0.05
    assert sling.pin_m is None
    assert (shackle.pin_m, shackle.jaw_m, shackle.bow_width_m) == (0.057, 0.083, 0.138)
    assert shackle.length_m == 0.0
    assert (chain.legs, chain.head_length_m, chain.wll_kg) == (4, 0.30, 12_500.0)
    assert stock["LC-80-01"].accuracy_ratio == 0.01
    assert stock["A140-3001"].last_examination == datetime.date(2026, 10, 5)
    assert stock["B219-4203"].status == "quarantined"


def test_kinds_know_what_they_are() -> None:
    assert ItemKind.ROUNDSLING.is_sling
    assert ItemKind.ROUNDSLING.is_textile
    assert not ItemKind.CHAIN_SLING.is_textile
    assert ItemKind.CORNER_FITTING.is_strut_part
    assert not ItemKind.SHACKLE.is_sling


def test_the_families_of_the_example_are_read() -> None:
    families = read_strut_families((EXAMPLE / "strut_families.csv").read_text(encoding="utf-8"), "f.csv")
    assert list(families) == ["F140", "F219", "F324"]
    assert families["F219"].yield_strength_Pa == 355e6
    assert families["F219"].elastic_modulus_Pa == 210e9
    assert families["F219"].joint_torque_Nm == 480.0
    assert families["F219"].end_offset_m == 0.2


def stock_problems(
    *rows: str, head: str = "serial,kind,wll [t],mass [kg],length [m],legs,status"
) -> list[str]:
    with pytest.raises(InputError) as wrong:
        read_stock("\n".join((head, *rows)), "stock.csv")
    return [str(problem) for problem in wrong.value.problems]


def test_mistakes_of_a_stock_are_named_with_row_and_column() -> None:
    found = stock_problems(
        "R1,roundsling,0,9,2,,ok",
        "R1,roundsling,5,-9,2,,ok",
        "R2,round sling,5,9,2,,ok",
        "R3,chain sling,5,9,2,0,ok",
    )
    assert found == [
        "stock.csv, line 2: wll: this must be more than zero; leave the cell empty if it is not known",
        "stock.csv, line 3: mass: this must not be negative; check the sign",
        "stock.csv, line 3: serial: R1 is given twice, first on line 2; keep one of the two",
        f'stock.csv, line 4: kind: "round sling" is not a kind of item; write one of '
        f"{', '.join(kind.value for kind in ItemKind)}",
        'stock.csv, line 5: legs: "0" is not a number of legs that a sling has',
    ]


def test_an_item_that_nobody_calls_ok_is_not_taken_for_ok() -> None:
    items = read_stock("serial,kind\nR1,roundsling\n", "stock.csv")
    assert items["R1"].status == "not stated"
    assert items["R1"].wll_kg is None
    assert items["R1"].mass_kg is None
    assert read(one_strut()).items["R1"].status == "not stated"


def test_mistakes_of_a_family_are_named() -> None:
    text = (EXAMPLE / "strut_families.csv").read_text(encoding="utf-8")
    with pytest.raises(InputError, match='"e" is not a buckling curve; write one of a0, a, b, c, d'):
        read_strut_families(text.replace(",a,", ",e,", 1), "f.csv")
    assert read_strut_families(text.replace("139.7", "16.0"), "f.csv")["F140"].wall_m == 0.008
    with pytest.raises(InputError, match="the wall is thicker than half the diameter"):
        read_strut_families(text.replace("139.7", "15.9"), "f.csv")
    with pytest.raises(InputError, match="outside_diameter: this must be more than zero"):
        read_strut_families(text.replace("139.7", "-139.7"), "f.csv")


def test_a_chart_is_read_from_a_table() -> None:
    assert read_chart("radius [m],capacity [t]\n10,98\n12,84\n", "c.csv") == (
        (10.0, 98_000.0),
        (12.0, 84_000.0),
    )
    with pytest.raises(InputError, match="capacity: this must be more than zero"):
        read_chart("radius [m],capacity [t]\n10,0\n", "c.csv")


def test_records_of_equipment_cannot_be_changed(stock) -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        stock["RS-20-01"].wll_kg = 40_000.0
