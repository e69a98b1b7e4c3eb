"""Circular hollow sections: properties for the checks of struts, exact or as a table rounds them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from plumbhook.core.check import Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError

SECTION_GEOMETRY = Clause("Geometry of a circular hollow section", quality=SourceQuality.OWN_DERIVATION)


def chs_area_m2(outside_diameter_m: float, wall_m: float) -> float:
    """Area ``pi/4 (D2 - d2)``, m2, of outside diameter and wall in m.

    Source: geometry; agrees with the tables of EN 10210-2.
    """
    inside = outside_diameter_m - 2.0 * wall_m
    return math.pi / 4.0 * (outside_diameter_m**2 - inside**2)


def chs_second_moment_m4(outside_diameter_m: float, wall_m: float) -> float:
    """Second moment of area ``pi/64 (D4 - d4)``, m4.

    Source: geometry; agrees with the tables of EN 10210-2.
    """
    inside = outside_diameter_m - 2.0 * wall_m
    return math.pi / 64.0 * (outside_diameter_m**4 - inside**4)


def chs_radius_of_gyration_m(outside_diameter_m: float, wall_m: float) -> float:
    """Radius of gyration ``sqrt(I/A)``, m.

    Source: geometry; agrees with the tables of EN 10210-2.
    """
    return math.sqrt(
        chs_second_moment_m4(outside_diameter_m, wall_m) / chs_area_m2(outside_diameter_m, wall_m)
    )


def chs_elastic_modulus_m3(outside_diameter_m: float, wall_m: float) -> float:
    """Elastic section modulus ``2 I/D``, m3.

    Source: geometry; agrees with the tables of EN 10210-2.
    """
    return 2.0 * chs_second_moment_m4(outside_diameter_m, wall_m) / outside_diameter_m


def chs_plastic_modulus_m3(outside_diameter_m: float, wall_m: float) -> float:
    """Plastic section modulus ``(D3 - d3)/6``, m3.

    Source: geometry; agrees with the tables of EN 10210-2.
    """
    inside = outside_diameter_m - 2.0 * wall_m
    return (outside_diameter_m**3 - inside**3) / 6.0


@dataclass(frozen=True, slots=True)
class CircularHollowSection:
    """A tube with the properties used in the checks.

    Attributes:
        outside_diameter_m: outside diameter, m.
        wall_m: wall thickness, m.
        area_m2: area, m2.
        second_moment_m4: second moment of area, m4.
        radius_of_gyration_m: radius of gyration, m.
        elastic_modulus_m3: elastic section modulus, m3.
        origin: where the properties come from, shown beside each.
    """

    outside_diameter_m: float
    wall_m: float
    area_m2: float
    second_moment_m4: float
    radius_of_gyration_m: float
    elastic_modulus_m3: float
    origin: str

    def __post_init__(self) -> None:
        if not 0.0 < self.wall_m <= 0.5 * self.outside_diameter_m < math.inf:
            raise InputError.one(
                "a tube needs a positive wall of no more than half its outside diameter; correct the two"
            )
        rest = (
            self.area_m2,
            self.second_moment_m4,
            self.radius_of_gyration_m,
            self.elastic_modulus_m3,
        )
        if not all(math.isfinite(number) and number > 0.0 for number in rest):
            raise InputError.one("the properties of a tube must be positive numbers; correct the table row")

    @property
    def plastic_modulus_m3(self) -> float:
        """Plastic section modulus of the nominal dimensions, m3."""
        return chs_plastic_modulus_m3(self.outside_diameter_m, self.wall_m)

    @classmethod
    def of_dimensions(cls, outside_diameter_m: float, wall_m: float) -> CircularHollowSection:
        """The section with exact properties of its nominal dimensions.

        Raises:
            InputError: diameter and wall do not make a tube.
        """
        if not 0.0 < wall_m <= 0.5 * outside_diameter_m < math.inf:
            raise InputError.one(
                "a tube needs a positive wall of no more than half its outside diameter; correct the two"
            )
        return cls(
            outside_diameter_m,
            wall_m,
            chs_area_m2(outside_diameter_m, wall_m),
            chs_second_moment_m4(outside_diameter_m, wall_m),
            chs_radius_of_gyration_m(outside_diameter_m, wall_m),
            chs_elastic_modulus_m3(outside_diameter_m, wall_m),
            "nominal dimensions",
        )

    @classmethod
    def of_table_row(
        cls,
        outside_diameter_m: float,
        wall_m: float,
        *,
        area_m2: float,
        second_moment_m4: float,
        radius_of_gyration_m: float,
        table: str,
    ) -> CircularHollowSection:
        """The section with the rounded properties of a table; the elastic modulus is ``2 I/D``.

        Raises:
            InputError: a property is missing or is more than 3 % from that of the nominal dimensions.
        """
        section = cls(
            outside_diameter_m,
            wall_m,
            area_m2,
            second_moment_m4,
            radius_of_gyration_m,
            2.0 * second_moment_m4 / outside_diameter_m,
            table,
        )
        exact = cls.of_dimensions(outside_diameter_m, wall_m)
        for name in ("area_m2", "second_moment_m4", "radius_of_gyration_m"):
            if not math.isclose(getattr(section, name), getattr(exact, name), rel_tol=0.03):
                raise InputError.one(
                    f"{name.rsplit('_', 1)[0].replace('_', ' ')} of the table is not that of a tube of these "
                    "dimensions; correct the table row"
                )
        return section

    def values(self) -> dict[str, Value]:
        """The properties as inputs of steps, by symbol: ``D``, ``t``, ``A``, ``I``, ``r``, ``Z``."""
        return {
            "D": Value("D", self.outside_diameter_m, "m", "outside diameter", self.origin, "mm"),
            "t": Value("t", self.wall_m, "m", "wall thickness", self.origin, "mm"),
            "A": Value("A", self.area_m2, "m2", "area of the section", self.origin, "cm2"),
            "I": Value("I", self.second_moment_m4, "m4", "second moment of area", self.origin, "cm4"),
            "r": Value("r", self.radius_of_gyration_m, "m", "radius of gyration", self.origin, "mm"),
            "Z": Value("Z", self.elastic_modulus_m3, "m3", "elastic section modulus", self.origin, "cm3"),
        }

    def elastic_modulus_step(self) -> Step:
        """The step ``Z = 2 I / D``, for working that starts from a table's second moment."""
        values = self.values()
        result = Value("Z", self.elastic_modulus_m3, "m3", "elastic section modulus", display="cm3")
        return Step(result, "2*I/D", (values["I"], values["D"]), SECTION_GEOMETRY)
