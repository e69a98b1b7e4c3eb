"""Equipment: stock files and strut families."""

import dataclasses
import datetime

import pytest
from lift_texts import EXAMPLE, one_strut, read

from plumbhook.core.errors import InputError
from plumbhook.model.equipment import ItemKind
from plumbhook.model.stock import read_stock, read_strut_families


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


def test_records_of_equipment_cannot_be_changed(stock) -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        stock["RS-20-01"].wll_kg = 40_000.0
