"""How the items of a line are loaded where that is not straight and in line, and how warm it is."""

from __future__ import annotations

import math
import re
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from plumbhook.core.units import Kind
from plumbhook.model.quantity import Length, Quantity, Section, refuse

Hitch = Literal["straight", "choke", "parallel basket", "basket"]

# An angle of choke or in a bow may be wider than a right angle; which are rated is for the checks to say.
WideAngle = Annotated[float, Quantity(Kind.ANGLE, at_least=0.0, at_most=math.pi)]

_DEGREES = re.compile(r"([+-]?\d+(?:\.\d+)?)\s*(?:°\s*|deg)?([CF])", re.ASCII)
_ABSOLUTE_ZERO_C = -273.15


def _celsius(raw: object) -> float:
    """Degrees Celsius from a text such as "-5 °C" or "23 °F"."""
    if isinstance(raw, float):
        return raw  # read before
    found = _DEGREES.fullmatch(raw.strip().replace("\N{MINUS SIGN}", "-")) if isinstance(raw, str) else None
    if found is None:
        raise refuse('this must be a temperature with its unit; write for instance "-5 °C"')
    value = float(found[1])
    celsius = value if found[2] == "C" else (value - 32.0) / 1.8
    if not (math.isfinite(celsius) and celsius >= _ABSOLUTE_ZERO_C):
        raise refuse(f'"{raw}" is colder than anything can be; check the number and the unit')
    return celsius


Temperature = Annotated[
    float, BeforeValidator(_celsius), WithJsonSchema({"type": "string", "examples": ["-5 °C"]})
]


class Temperatures(Section):
    """The coldest and the warmest that slings and shackles may be during the lift."""

    lowest_C: Temperature = Field(alias="lowest", description="Coldest, of air or of what they touch.")
    highest_C: Temperature = Field(alias="highest", description="Warmest, of air or of what they touch.")

    @model_validator(mode="after")
    def _in_order(self) -> Temperatures:
        if self.lowest_C > self.highest_C:
            raise refuse("the lowest temperature is above the highest; exchange them")
        return self


class Use(Section):
    """How the items of a line are used; what is left out is straight and in line."""

    hitch: Hitch = Field(default="straight", description="How the slings of the line hold the load.")
    angle_of_choke_rad: WideAngle | None = Field(
        default=None,
        alias="angle_of_choke",
        description="Angle between the standing part of a choked sling and its loop.",
    )
    basket_angle_rad: WideAngle | None = Field(
        default=None, alias="basket_angle", description="Angle of the legs of a basket from the vertical."
    )
    bent_over_m: Length | None = Field(
        default=None,
        alias="bent_over",
        description="Diameter that the body of a wire rope sling is bent over.",
    )
    side_load_rad: WideAngle | None = Field(
        default=None,
        alias="side_load",
        description="Angle by which the shackles of the line are pulled off their axis.",
    )
    round_pin: bool = Field(
        default=False, description="Whether these shackles have a round pin, which takes no side load."
    )
    angle_in_bow_rad: WideAngle | None = Field(
        default=None,
        alias="angle_in_bow",
        description="Angle between the two legs that the bows of the line's shackles take.",
    )

    @model_validator(mode="after")
    def _of_one_mind(self) -> Use:
        if self.angle_of_choke_rad is not None and self.hitch != "choke":
            raise refuse(
                "angle_of_choke is given, but the hitch is no choke; write hitch: choke, or leave it out"
            )
        if self.basket_angle_rad is not None and self.hitch != "basket":
            raise refuse(
                "basket_angle is given, but the hitch is no basket; write hitch: basket, or leave it out"
            )
        if self.hitch == "basket" and self.basket_angle_rad is None:
            raise refuse("a basket is rated by the angle of its legs; give basket_angle")
        return self
