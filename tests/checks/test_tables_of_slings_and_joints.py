"""Tables that come with the program: each agrees with its sidecar, a hole in it stops it, no row stands for another."""

import math
from importlib.resources import files

import numpy as np
import pytest

from plumbhook.checks import steels
from plumbhook.checks.en_818_4_1996 import chain_slings
from plumbhook.checks.en_1993_1_8_2005.bolts import Bolt, tensile_stress_area_m2
from plumbhook.checks.en_13414_1_2003 import wire_rope_slings as ropes
from plumbhook.checks.leg_factors import row_of
from plumbhook.checks.shackles import tables as shackles
from plumbhook.checks.steels import steel_grades, steel_strength
from plumbhook.checks.us_slings import handbook, hitches
from plumbhook.core.check import SourceQuality
from plumbhook.core.errors import InputError
from plumbhook.core.tables import (
    Column,
    TableError,
    packaged_table,
    packaged_tables,
    read_sourced_table,
    table_sha256,
)
from plumbhook.core.units import Kind

CHAIN = tuple(
    Column(name, Kind.LENGTH if name == "chain" else Kind.MASS, required=True)
    for name in (
        "chain",
        "one_leg",
        "two_legs_to_45",
        "two_legs_to_60",
        "four_legs_to_45",
        "four_legs_to_60",
        "endless_choked",
    )
)
FOLDER = files("plumbhook").joinpath("data", "tables")


def sentence(refused: pytest.ExceptionInfo[InputError]) -> str:
    return str(refused.value)


@pytest.mark.parametrize("name", packaged_tables())
def test_every_table_names_its_origin_and_agrees_with_its_checksum(name):
    text = FOLDER.joinpath(f"{name}.csv").read_text(encoding="utf-8")
    heads = [head.partition(" [")[0] for head in text.splitlines()[0].split(",")]
    columns = tuple(Column(head, "text", required=True) for head in heads)
    units_left_out = "\n".join([",".join(heads), *text.splitlines()[1:]]) + "\n"
    sidecar = FOLDER.joinpath(f"{name}.toml").read_text(encoding="utf-8")
    assert f'sha256 = "{table_sha256(text)}"' in sidecar
    table = read_sourced_table(
        units_left_out,
        sidecar.replace(table_sha256(text), table_sha256(units_left_out)),
        columns,
        source=name,
    )
    assert table.provenance.document
    assert table.provenance.note or table.provenance.quality is SourceQuality.PUBLISHED
    from_memory = "from memory" in table.provenance.note.lower()
    assert not from_memory or table.provenance.quality is SourceQuality.FROM_MEMORY


def test_a_table_with_a_hole_in_it_is_never_used():
    text = FOLDER.joinpath("en_818_4_grade_8.csv").read_text(encoding="utf-8")
    sidecar = FOLDER.joinpath("en_818_4_grade_8.toml").read_text(encoding="utf-8")
    holed = text.replace("4.25", "", 1)
    sealed = sidecar.replace(table_sha256(text), table_sha256(holed))
    with pytest.raises(TableError, match="the cell is empty; this column needs a value in every row"):
        read_sourced_table(holed, sealed, CHAIN, source="chain")
    with pytest.raises(TableError, match="was changed since its sidecar"):
        read_sourced_table(holed, sidecar, CHAIN, source="chain")
    short = "\n".join(line for line in text.splitlines() if not line.startswith("13,")) + "\n"
    sealed = sidecar.replace(table_sha256(text), table_sha256(short))
    with pytest.raises(TableError, match="has 9 rows, its sidecar says 10"):
        read_sourced_table(short, sealed, CHAIN, source="chain")


HOLED = [
    (name, columns, place)
    for name, columns in (
        ("structural_steels", steels._COLUMNS),
        ("en_818_4_grade_8", chain_slings._COLUMNS),
        ("en_13414_1_steel_core", ropes._COLUMNS),
        ("wire_rope_bend_efficiency", ropes._BEND_COLUMNS),
        ("wire_rope_clips_1918", handbook._CLIP_COLUMNS),
        ("en_13889_grade_6", shackles._EN_COLUMNS),
        ("rr_c_271_grade_a", shackles._RRC_COLUMNS),
        ("lame_dee_shackles", shackles._DEE_COLUMNS),
    )
    for place in range(len(columns))
]


@pytest.mark.parametrize(("name", "columns", "place"), HOLED)
def test_no_size_and_no_rated_load_of_a_table_may_be_empty(name, columns, place):
    lines = FOLDER.joinpath(f"{name}.csv").read_text(encoding="utf-8").splitlines()
    sidecar = FOLDER.joinpath(f"{name}.toml").read_text(encoding="utf-8")
    heads = [head.partition(" [")[0] for head in lines[0].split(",")]
    cells = lines[2].split(",")
    cells[heads.index(columns[place].name)] = ""
    holed = "\n".join([*lines[:2], ",".join(cells), *lines[3:]]) + "\n"
    whole = "\n".join(lines) + "\n"
    with pytest.raises(TableError, match="the cell is empty; this column needs a value in every row"):
        read_sourced_table(
            holed, sidecar.replace(table_sha256(whole), table_sha256(holed)), columns, source=name
        )


@pytest.mark.parametrize(
    ("tonnes", "within"),
    [(0.49, False), (0.499, False), (0.5, True), (25.0, True), (25.1, False), (math.nan, False)],
)
def test_shackles_of_half_a_tonne_to_25_tonnes_are_within_en_13889(tonnes, within):
    # EN 13889, scope: rated loads of 0.5 t to 25 t.
    assert shackles.within_en_13889(tonnes * 1000.0) is within


def test_a_table_that_is_not_there_says_so():
    with pytest.raises(TableError, match="is missing"):
        packaged_table("no_such_table", CHAIN)


def test_a_size_between_two_rows_is_refused_and_not_taken_from_a_neighbour():
    with pytest.raises(InputError) as refused:
        chain_slings.chain_sling_rated_kg(0.009, 2, 0.0)
    text = sentence(refused)
    assert text.startswith("chain: a chain of 9.00 mm is not in EN 818-4")
    assert "6, 7, 8, 10, 13" in text
    assert "certificate" in text


@pytest.mark.parametrize(
    ("look_up", "words"),
    [
        (lambda: ropes.rope_sling_rated_kg(0.021, 1, 0.0), "a rope of 21.00 mm"),
        (lambda: shackles.en_13889_shackle(35_000.0), "a shackle of 35.00 t"),
        (lambda: shackles.dee_shackle(3_000.0, "mild"), "a dee shackle of 3.00 t"),
        (lambda: shackles.dee_shackle(1_000.0, "soft"), "write mild or high tensile"),
        (lambda: hitches.alloy_chain_rated_kg(0.0127, 70, 1, 1.5), "write 80 or 100"),
        (lambda: hitches.alloy_chain_rated_kg(0.0127, 80, 5, 1.5), "write 1 to 4"),
        (lambda: hitches.fibre_rope_rated_kg(0.0254, "knotted", "vertical"), "write eye and eye or endless"),
        (lambda: hitches.fibre_rope_rated_kg(0.0254, "endless", "sideways"), "write one of vertical"),
        (lambda: hitches.countable_legs(0), "write 1 to 4"),
        (lambda: Bolt.of("M21", "8.8"), 'bolt size "M21" is not in the table; Known are M12'),
        (lambda: Bolt.of("M20", "8.9"), 'bolt class "8.9" is not in the table; did you mean 8.8?'),
    ],
)
def test_what_is_not_in_a_table_is_said_with_what_is(look_up, words):
    with pytest.raises(InputError) as refused:
        look_up()
    assert words in sentence(refused)


def test_an_unknown_steel_grade_is_refused_with_the_nearest_one():
    with pytest.raises(InputError) as refused:
        steel_strength("S335", 0.010, field="strut_families F219 steel")
    text = sentence(refused)
    assert text.startswith(
        'strut_families F219 steel: the steel grade "S335" is not in the table; did you mean S3'
    )
    assert "certificate" in text


@pytest.mark.parametrize("thickness", [-0.012, 0.0, math.nan])
def test_a_thickness_that_cannot_be_is_refused(thickness):
    with pytest.raises(InputError, match="must be more than zero"):
        steel_strength("S355", thickness)


def test_a_plate_thicker_than_the_table_needs_its_certificate():
    with pytest.raises(InputError, match="tabled up to 100 mm, not at 120 mm"):
        steel_strength("S355", 0.120)


@pytest.mark.parametrize("grade", steel_grades())
def test_a_thicker_plate_is_never_stronger(grade):
    strengths = [steel_strength(grade, t / 1000.0) for t in range(3, 64)]
    yields = [s.yield_Pa for s in strengths]
    assert yields == sorted(yields, reverse=True)
    assert all(s.yield_Pa < s.ultimate_Pa for s in strengths)
    assert yields[0] == pytest.approx(float(grade[1:4]) * 1e6)


def test_the_band_of_a_thickness_ends_with_it():
    assert steel_strength("S355J2+N", 0.016).yield_Pa == pytest.approx(355e6)
    assert steel_strength("S355J2+N", 0.0161).yield_Pa == pytest.approx(345e6)


@pytest.mark.parametrize("size", ["M12", "M16", "M20", "M24", "M30", "M36", "M42", "M48"])
def test_the_tabled_stress_area_is_that_of_iso_898_1(size):
    pitch = {"M12": 1.75, "M16": 2, "M20": 2.5, "M24": 3, "M30": 3.5, "M36": 4, "M42": 4.5, "M48": 5}[size]
    bolt = Bolt.of(size, "8.8")
    assert bolt.stress_area_m2 == pytest.approx(
        tensile_stress_area_m2(bolt.diameter_m, pitch / 1000), rel=3e-3
    )
    assert bolt.hole_m > bolt.diameter_m


def test_dee_shackles_grow_with_the_root_of_their_load():
    # A law of the table: stress stays the same, so lengths grow with the square root.
    for rated, jaw in ((4_000.0, 40.0), (16_000.0, 79.0), (63_000.0, 157.0)):
        assert jaw == pytest.approx(20.0 * math.sqrt(rated / 1000.0), rel=0.02)
        size = shackles.dee_shackle(rated, "mild")
        assert size.jaw_m == pytest.approx(jaw / 1000.0)
        strong = shackles.dee_shackle(rated, "high tensile")
        assert strong.body_m < size.body_m < size.pin_m


def test_no_shackle_above_25_t_is_one_of_en_13889():
    assert shackles.within_en_13889(25_000.0)
    assert not shackles.within_en_13889(35_000.0)
    assert not shackles.within_en_13889(math.nan)


def test_a_lookup_of_a_lookup_is_the_same_row():
    table = packaged_table("en_818_4_grade_8", CHAIN, "chain")
    row = row_of(table, "chain", 0.010, what="a chain", unit="m", display="mm", field="chain")
    assert row.number("two_legs_to_45") == pytest.approx(4250.0)
    assert np.isfinite(row.number("endless_choked"))
