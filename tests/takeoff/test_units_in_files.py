"""Units of length, mass and density as files write them: each is worked out, none is taken for granted."""

from pathlib import Path

import pytest
from tests.takeoff.files import FOLDER, need_library

from plumbhook.model.solids import SolidModel, SolidsReport
from plumbhook.takeoff.formats import Format
from plumbhook.takeoff.reading import FileRefusedError, Order, reader_of
from plumbhook.takeoff.solids import weigh
from solid_files import figures as f

BLOCK_STEP = (FOLDER / "block.step").read_text(encoding="utf-8")
BLOCK_IFC = (FOLDER / "block.ifc").read_text(encoding="utf-8")
SKID_IFC = (FOLDER / "skid.ifc").read_text(encoding="utf-8")
VOLUME = f.block()[0]
INCH = (
    "( CONVERSION_BASED_UNIT('INCH',#90000) LENGTH_UNIT() NAMED_UNIT(#90002) );\n"
    "#90000 = LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(2.54),#90001);\n"
    "#90001 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.CENTI.,.METRE.) );\n"
    "#90002 = DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.)"
)
POUND = (
    "( CONVERSION_BASED_UNIT('POUND',#90010) MASS_UNIT() NAMED_UNIT(#90012) );\n"
    "#90010 = MASS_MEASURE_WITH_UNIT(MASS_MEASURE(0.45359237),#90011);\n"
    "#90011 = ( MASS_UNIT() NAMED_UNIT(*) SI_UNIT(.KILO.,.GRAM.) );\n"
    "#90012 = DIMENSIONAL_EXPONENTS(0.,1.,0.,0.,0.,0.,0.)"
)
METRE = "( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.) )"
MILLIMETRE = "( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) )"
KILOGRAM = "( MASS_UNIT() NAMED_UNIT(*) SI_UNIT(.KILO.,.GRAM.) )"
MEGAGRAM = "( MASS_UNIT() NAMED_UNIT(*) SI_UNIT(.MEGA.,.GRAM.) )"
MM = "#520 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) )"
GRAM = "#529 = ( MASS_UNIT() NAMED_UNIT(*) SI_UNIT($,.GRAM.) )"
CENTIMETRE = "#531 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.CENTI.,.METRE.) )"
DENSITY = "POSITIVE_RATIO_MEASURE(7.85)"


def replaced(text: str, *changes: tuple[str, str]) -> str:
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text


def read(tmp_path: Path, kind: Format, text: str) -> SolidModel:
    need_library(f"a{kind.value.suffixes[0]}")
    path = tmp_path / f"a{kind.value.suffixes[0]}"
    path.write_text(text, encoding="utf-8")
    return reader_of(kind)(Order(path, "a", None, ""))


def weighed(model: SolidModel) -> SolidsReport:
    return weigh(model, ())


@pytest.mark.parametrize(
    ("unit", "size_m", "word"),
    [
        ("( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.CENTI.,.METRE.) )", 0.01, "centimetre"),
        ("( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.) )", 1.0, "metre"),
        (INCH, 0.0254, "INCH"),
    ],
)
def test_the_unit_of_length_of_a_step_file_is_its_own(tmp_path, unit, size_m, word) -> None:
    changes = ((MM, f"#520 = {unit}"), (f"#548 = {MILLIMETRE}", f"#548 = {unit.partition(';')[0]}"))
    text = replaced(BLOCK_STEP, *changes)
    model = read(tmp_path, Format.STEP, text)
    solid = model.solids[0]
    assert solid.shape.volume_m3 == pytest.approx(VOLUME * (size_m / 0.001) ** 3, rel=1e-9)
    assert solid.density_kg_m3 == pytest.approx(7850.0)  # its unit is another entity and stays
    assert model.unit.casefold() == f"{word}, as the file says".casefold()
    assert solid.remarks == ()  # the volume that the file declares, in its own unit, agrees


@pytest.mark.parametrize(
    ("mass", "length", "value", "density"),
    [
        (KILOGRAM, METRE, 7850.0, 7850.0),
        (MEGAGRAM, METRE, 7.85, 7850.0),
        (KILOGRAM, MILLIMETRE, 7.85e-6, 7850.0),
        # 1 lb/in3 = 2.767990 E+04 kg/m3: NIST Special Publication 811 (2008), Appendix B.
        (POUND, INCH, 1.0, 27679.90),
    ],
)
def test_the_unit_of_a_density_in_a_step_file_is_worked_out(tmp_path, mass, length, value, density) -> None:
    text = replaced(
        BLOCK_STEP, (GRAM, f"#529 = {mass}"), (CENTIMETRE, f"#531 = {length}"),
        (DENSITY, f"POSITIVE_RATIO_MEASURE({value!r})".replace("e-", "E-")),
    )  # fmt: skip
    assert read(tmp_path, Format.STEP, text).solids[0].density_kg_m3 == pytest.approx(density, rel=1e-6)


def test_a_density_whose_unit_is_no_density_is_not_used(tmp_path) -> None:
    text = replaced(BLOCK_STEP, ("DERIVED_UNIT_ELEMENT(#531,-3.)", "DERIVED_UNIT_ELEMENT(#531,2.)"))
    report = weighed(read(tmp_path, Format.STEP, text))
    assert not report.is_complete
    assert report.remarks == ("block: the density in the file has no unit of a density and is not used",)


def test_a_declared_volume_that_is_not_that_of_the_faces_is_remarked(tmp_path) -> None:
    text = replaced(BLOCK_STEP, ("9.512035405699E+09", "9.600000000000E+09"))
    remarks = weighed(read(tmp_path, Format.STEP, text)).remarks
    assert remarks == ("block: the file declares a volume of 9.6 m³, but its faces give 9.512 m³",)


def test_products_of_one_name_and_two_densities_have_none(tmp_path) -> None:
    again = (
        "#80001 = MEASURE_REPRESENTATION_ITEM('density measure',POSITIVE_RATIO_MEASURE(2.7),#527);\n"
        "#80002 = REPRESENTATION('density',(#80001),#519);\n"
        "#80003 = PROPERTY_DEFINITION('material property','density',#5);\n"
        "#80004 = PROPERTY_DEFINITION_REPRESENTATION(#80003,#80002);\n"
    )
    text = replaced(BLOCK_STEP, ("ENDSEC;\nEND-ISO", again + "ENDSEC;\nEND-ISO"))
    report = weighed(read(tmp_path, Format.STEP, text))
    assert not report.is_complete
    assert "different densities" in report.remarks[0]


@pytest.mark.parametrize(
    ("unit", "value", "mass_kg"),
    [
        ("#1=IFCSIUNIT(*,.MASSUNIT.,.KILO.,.GRAM.)", "1850.", 1850.0),
        ("#1=IFCSIUNIT(*,.MASSUNIT.,$,.GRAM.)", "1850000.", 1850.0),
        ("#1=IFCSIUNIT(*,.MASSUNIT.,.MEGA.,.GRAM.)", "1.85", 1850.0),
        (
            "#1=IFCCONVERSIONBASEDUNIT(#9001,.MASSUNIT.,'POUND',#9002);\n#9001=IFCDIMENSIONALEXPONENTS(0,1,0,0,0,0,0);\n"
            "#9002=IFCMEASUREWITHUNIT(IFCMASSMEASURE(0.45359237),#9003);\n#9003=IFCSIUNIT(*,.MASSUNIT.,.KILO.,.GRAM.)",
            "4000.", 4000.0 * 0.45359237,
        ),
    ],
)  # fmt: skip
def test_the_unit_of_a_weight_in_an_ifc_file_is_worked_out(tmp_path, unit, value, mass_kg) -> None:
    text = replaced(SKID_IFC, ("#1=IFCSIUNIT(*,.MASSUNIT.,.KILO.,.GRAM.)", unit), ("1850.", value))
    pump = next(one for one in read(tmp_path, Format.IFC, text).solids if one.name == "pump")
    assert pump.declared_mass_kg == pytest.approx(mass_kg)


def test_a_weight_without_a_unit_of_mass_is_not_used(tmp_path) -> None:
    text = replaced(SKID_IFC, ("#7=IFCUNITASSIGNMENT((#5,#1,#6))", "#7=IFCUNITASSIGNMENT((#5,#6))"))
    pump = next(one for one in weighed(read(tmp_path, Format.IFC, text)).solids if one.solid.name == "pump")
    assert pump.solid.declared_mass_kg is None
    assert "has no unit of mass in the file and is not used" in pump.remarks[0]


def test_a_density_without_a_unit_is_in_the_usual_one_of_the_standard_and_says_so(tmp_path) -> None:
    text = replaced(SKID_IFC, ("#7=IFCUNITASSIGNMENT((#5,#1,#6))", "#7=IFCUNITASSIGNMENT((#5,#1))"))
    deck = next(one for one in weighed(read(tmp_path, Format.IFC, text)).solids if one.solid.name == "deck")
    assert deck.density_kg_m3 == pytest.approx(2400.0)
    assert "in kg/m³, as the standard says is usual" in deck.source


def test_a_density_in_grams_per_cubic_centimetre_of_an_ifc_file(tmp_path) -> None:
    text = replaced(
        BLOCK_IFC,
        ("#1=IFCSIUNIT(*,.MASSUNIT.,.KILO.,.GRAM.)", "#1=IFCSIUNIT(*,.MASSUNIT.,$,.GRAM.)"),
        ("#2=IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.)", "#2=IFCSIUNIT(*,.LENGTHUNIT.,.CENTI.,.METRE.)"),
        ("IFCMASSDENSITYMEASURE(7850.)", "IFCMASSDENSITYMEASURE(7.85)"),
    )
    assert read(tmp_path, Format.IFC, text).solids[0].density_kg_m3 == pytest.approx(7850.0)


def test_gross_and_net_weight_net_goes_first_where_there_is_an_opening(tmp_path) -> None:
    both = (
        "#107=IFCQUANTITYWEIGHT('GrossWeight',$,$,1850.,$);\n#9001=IFCQUANTITYWEIGHT('NetWeight',$,$,1700.,$)"
    )
    text = replaced(
        SKID_IFC, ("#107=IFCQUANTITYWEIGHT('GrossWeight',$,$,1850.,$)", both), ("(#107))", "(#107,#9001))")
    )
    pump = next(one for one in read(tmp_path, Format.IFC, text).solids if one.name == "pump")
    assert (pump.declared_mass_kg, pump.declared_source) == (1850.0, "GrossWeight in Qto_PumpBaseQuantities")
    assert "GrossWeight 1850 kg, NetWeight 1700 kg; GrossWeight is used" in pump.remarks[0]
    pump_line = next(line for line in text.splitlines() if "IFCPUMP" in line)
    opening = next(line for line in text.splitlines() if "IFCRELVOIDSELEMENT" in line)
    deck_id = opening.split(",")[-2]
    text = text.replace(opening, opening.replace(deck_id, pump_line.partition("=")[0]))
    pump = next(one for one in read(tmp_path, Format.IFC, text).solids if one.name == "pump")
    assert (pump.declared_mass_kg, pump.declared_source) == (1700.0, "NetWeight in Qto_PumpBaseQuantities")


def layers(text: str, *thickness_and_density: tuple[float, float | None]) -> str:
    """The block of the IFC file with a set of layers for its material."""
    lines = []
    for k, (thickness, density) in enumerate(thickness_and_density):
        n = 9100 + 10 * k
        lines.append(f"#{n}=IFCMATERIAL('layer {k + 1}',$,$)")
        lines.append(f"#{n + 1}=IFCMATERIALLAYER(#{n},{thickness!r},$,$,$,$,$)")
        if density is not None:
            lines.append(
                f"#{n + 2}=IFCPROPERTYSINGLEVALUE('MassDensity',$,IFCMASSDENSITYMEASURE({density!r}),$)"
            )
            lines.append(f"#{n + 3}=IFCMATERIALPROPERTIES('Pset_MaterialCommon',$,(#{n + 2}),#{n})")
    members = ",".join(f"#{9101 + 10 * k}" for k in range(len(thickness_and_density)))
    lines.append(f"#9000=IFCMATERIALLAYERSET(({members}),$,$)")
    old = next(line for line in text.splitlines() if "IFCRELASSOCIATESMATERIAL" in line)
    new = old.replace(old.split(",")[-1], "#9000);")
    return text.replace(old, ";\n".join([*lines, new]))


def test_layers_weigh_by_their_thickness(tmp_path) -> None:
    solid = read(tmp_path, Format.IFC, layers(BLOCK_IFC, (200.0, 2400.0), (100.0, 600.0))).solids[0]
    assert solid.material == "layer 1 + layer 2"
    assert solid.density_kg_m3 == pytest.approx((200 * 2400 + 100 * 600) / 300)
    assert "by thickness of its layers" in solid.density_source


def test_layers_of_which_one_has_no_density_have_none(tmp_path) -> None:
    report = weighed(read(tmp_path, Format.IFC, layers(BLOCK_IFC, (200.0, 2400.0), (100.0, None))))
    assert not report.is_complete
    assert "not all of its materials have a density" in " ".join(report.remarks)


def test_a_schema_that_is_not_known_is_refused(tmp_path) -> None:
    with pytest.raises(FileRefusedError, match="cannot be read"):
        read(tmp_path, Format.IFC, replaced(BLOCK_IFC, ("'IFC4'", "'IFC99'")))
