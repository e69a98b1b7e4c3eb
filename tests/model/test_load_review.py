"""What a second look at the load asks: units, density, assumed centres, round numbers, things counted twice."""

import pytest
from lift_texts import bridle, example_problems, problems, read, read_example

from plumbhook.core.check import SourceQuality
from plumbhook.core.units import format_quantity
from plumbhook.model.densities import load_densities, material_densities
from plumbhook.model.load_review import RemarkKind, review_load
from plumbhook.model.unit_slips import unit_slip

ENVELOPE = {"low": ["-1 m", "-1 m", "0 m"], "high": ["1 m", "1 m", "1 m"]}


def remarks(lift: dict) -> list[str]:
    return [remark.text for remark in review_load(read(lift).file.load)]


def block(**load: object) -> dict:
    """4 t in an envelope of 4 m3, centre of gravity not in the middle."""
    lift = bridle()
    lift["load"].update({"envelope": ENVELOPE, "cog": ["0.1 m", "-0.1 m", "0.2 m"], **load})
    return lift


def weighing(mass: str, **more: object) -> dict:
    return {"mass": mass, "tolerance": "3 %", "source": "drawing 4", "state": "bare", **more}


def test_a_plain_load_raises_no_question() -> None:
    assert remarks(block()) == []


@pytest.mark.parametrize(
    ("mass", "slip"),
    [("4 kg", "tonnes read as kilograms"), ("4000 t", "kilograms read as tonnes")],
)
def test_tonnes_entered_as_kilograms_are_seen_by_the_density(mass: str, slip: str) -> None:
    (remark,) = remarks(block(weight=weighing(mass)))
    assert "Mass over the volume of the envelope is" in remark
    assert slip in remark
    assert "common practice, no source" in remark


def test_the_weight_of_the_demo_segment_typed_as_kilograms_is_no_segment() -> None:
    # The parts contradict it at once; without parts the density does.
    (problem,) = example_problems("    tolerance: 1.5 %", "    mass: 47.8 kg\n    tolerance: 1.5 %")
    assert "the ratio is that of tonnes read as kilograms" in problem.message


@pytest.mark.parametrize(
    ("given", "slip"),
    [
        ("4408 kg", "short tons read as tonnes"),
        ("3629 kg", "tonnes read as short tons"),
        ("8818 kg", "pounds read as kilograms"),
        ("39.2 t", "kilonewtons read as tonnes"),
    ],
)
def test_a_total_that_parts_contradict_names_the_slip_of_units(given: str, slip: str) -> None:
    lift = block(weight=weighing(given))
    lift["load"]["parts"] = [{"name": "block", "mass": "4 t", "at": ["0.1 m", "-0.1 m", "0.2 m"]}]
    (problem,) = problems(lift)
    assert problem.startswith("load.weight.mass: the parts sum to 4000 kg")
    assert f"the ratio is that of {slip}" in problem


@pytest.mark.parametrize(
    ("ratio", "slip"),
    [(1.0, ""), (1.05, ""), (2.2046, "pounds read as kilograms"), (0.4536, "kilograms read as pounds")],
)
def test_only_the_ratio_of_two_units_is_a_slip(ratio: float, slip: str) -> None:
    assert unit_slip(ratio) == slip
    assert unit_slip(float("nan")) == unit_slip(-1.0) == ""


def slab(mass: str, **more: object) -> dict:
    return {
        "name": "deck slab", "mass": mass, "at": ["0.1 m", "-0.1 m", "0.2 m"], "source": "drawing",
        "size": ["2 m", "2 m", "0.4 m"], **more,
    }  # fmt: skip


def of_parts(*parts: dict) -> dict:
    lift = block(parts=list(parts), weight={"tolerance": "1 %", "source": "drawing", "state": "bare"})
    lift["load"].pop("cog")
    return lift


@pytest.mark.parametrize(
    ("mass", "slip"),
    [
        ("3701 kg", "tonnes read as short tons"),
        ("1851 kg", "kilograms read as pounds"),
        ("8995 kg", "pounds read as kilograms"),
        ("4.08 t", ""),
    ],
)
def test_a_solid_slab_weighs_what_its_volume_says(mass: str, slip: str) -> None:
    found = [
        text
        for text in remarks(of_parts(slab(mass, solid_of="reinforced concrete")))
        if "over its own" in text
    ]
    assert bool(found) is bool(slip)
    assert all(slip in text and "from memory" in text for text in found)


def test_no_part_is_heavier_than_a_block_of_steel_of_its_size() -> None:
    assert any("solid steel has" in text for text in remarks(of_parts(slab("16 t"))))
    assert not any("solid steel" in text for text in remarks(of_parts(slab("12 t"))))


def test_a_kind_of_load_narrows_the_density() -> None:
    assert not remarks(block(kind="machinery"))
    (remark,) = remarks(block(kind="timber", weight=weighing("4.8 t")))
    assert "timber has 100 kg/m³ to 1000 kg/m³" in remark.replace("\u00a0", " ")


def test_a_centre_exactly_in_the_middle_counts_as_assumed() -> None:
    (remark,) = review_load(read(block(cog=["0 m", "0 m", "0.3 m"])).file.load)
    assert remark.kind is RemarkKind.ASSUMED
    assert "exactly in the middle of the envelope" in remark.text
    off = block(cog=["0 m", "-0.3333 m", "0.3 m"])
    assert "in the middle of the lift points" in remarks(off)[0]


@pytest.mark.parametrize("source", ["client e-mail", "told by phone", "estimate", "assumed"])
def test_hearsay_is_no_source(source: str) -> None:
    assert any(
        "hearsay, not a source" in text
        for text in remarks(block(weight=weighing("4 t") | {"source": source}))
    )


def test_round_masses_without_a_source_are_named() -> None:
    found = remarks(of_parts(slab("4 t"), slab("437 kg", name="rail") | {"source": "drawing"}))
    assert not any("Round" in text for text in found)
    bare = {key: value for key, value in slab("4 t").items() if key != "source"}
    assert 'Round masses without a source: "deck slab".' in remarks(of_parts(bare))


def test_what_sticks_out_of_the_envelope_is_named() -> None:
    rail = {"name": "rail", "mass": "37 kg", "at": ["0 m", "0 m", "1.4 m"], "source": "list"}
    assert any(
        '"rail" by 400 mm' in text.replace("\u00a0", " ") for text in remarks(of_parts(slab("4.1 t"), rail))
    )


def test_the_same_part_twice_is_asked_about() -> None:
    found = remarks(of_parts(slab("4.1 t"), slab("4.1 t", name="slab, again")))
    assert any("counted twice" in text for text in found)
    solid = {"solid_of": "reinforced concrete"}
    low = slab("4.1 t", name="wall", **solid) | {"size": ["0.5 m", "0.5 m", "0.5 m"], "mass": "318 kg"}
    assert any("overlap by" in text for text in remarks(of_parts(slab("4.1 t", **solid), low)))


def test_fluid_that_can_move_is_told_to_the_crew_and_widens_the_box() -> None:
    room = {"low": ["0 m", "-1 m", "0 m"], "high": ["1 m", "0 m", "1 m"]}
    water = {"name": "water", "mass": "450 kg", "at": ["0.5 m", "-0.5 m", "0.3 m"], "source": "count",
             "movable": {"kind": "fluid", "within": room}}  # fmt: skip
    found = review_load(read(of_parts(slab("4.1 t"), water)).file.load)
    assert any(r.kind is RemarkKind.TO_SEE and "not held" in r.text for r in found)
    assert any("give a wider box of the centre of gravity than is declared" in r.text for r in found)
    assert any("state no position tolerance" in r.text for r in found)
    nowhere = water | {"movable": {"kind": "fluid"}}
    assert any("nobody says where to" in text for text in remarks(of_parts(slab("4.1 t"), nowhere)))


def test_tolerances_of_parts_beyond_the_declared_one_are_said() -> None:
    found = remarks(of_parts(slab("4.1 t", tolerance="10 %")))
    assert any("give ± 410 kg, more than the declared ± 41" in text.replace("\u00a0", " ") for text in found)


def test_a_state_that_somebody_must_have_brought_about_is_to_be_seen() -> None:
    found = review_load(read(block(weight=weighing("4 t") | {"state": "vessel drained"})).file.load)
    assert [r.kind for r in found] == [RemarkKind.TO_SEE]
    assert "vessel drained" in found[0].text


def test_the_demo_segment_says_that_its_rail_stands_above_the_envelope() -> None:
    found = [remark.text for remark in review_load(read_example().file.load)]
    assert any('"Edge walkway, guardrail" by 500 mm' in text.replace("\u00a0", " ") for text in found)


def test_bands_of_density_say_where_they_come_from() -> None:
    assert material_densities()["steel"].quality is SourceQuality.FROM_MEMORY
    assert load_densities()["any"].quality is SourceQuality.COMMON_PRACTICE
    for band in (*material_densities().values(), *load_densities().values()):
        assert 0.0 < band.low_kg_per_m3 < band.high_kg_per_m3
    assert format_quantity(2550, "kg_per_m3", "kg/m3", decimals=0)
