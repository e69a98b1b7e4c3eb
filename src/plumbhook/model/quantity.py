"""Types of the lift file's fields: quantities read by ``core.units``, dates, positions.

A field of such a type holds an SI float; in the file (and in the JSON Schema) it is a text with its unit.
"""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import PydanticCustomError, core_schema

from plumbhook.core.units import (
    Kind,
    UnitError,
    accepted_words,
    display_unit,
    format_quantity,
    parse_quantity,
    printed_symbols,
)


class Section(BaseModel):
    """Base of every part of the lift file: immutable, and an unknown key is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", serialize_by_alias=False)

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core_schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """The schema with every default as a user would write it, not as the SI number."""
        reference = handler(core_schema)
        properties = handler.resolve_ref_schema(reference).get("properties", {})
        for name, field in cls.model_fields.items():
            written = properties.get(field.alias or name, {})
            mark = next((mark for mark in field.metadata if isinstance(mark, Quantity)), None)
            if isinstance(field.default, BaseModel):
                written["default"] = {}
            elif mark is not None and isinstance(field.default, float):
                written["default"] = mark.written(field.default)
            elif Kind.MONTHS in field.metadata:
                written["default"] = f"{field.default} months"
        return reference


def refuse(message: str) -> PydanticCustomError:
    """An error whose message reaches the user as it is."""
    return PydanticCustomError("sentence", "{message}", {"message": message})


@dataclass(frozen=True)
class Quantity:
    """Marks a float as a quantity of a kind, with the limits that nature sets (SI)."""

    kind: Kind
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None

    def read(self, raw: object) -> float:
        """Turn what stands in the file into the SI number.

        Raises:
            PydanticCustomError: with one sentence and the cure.
        """
        example = f'write for instance "{self.kind.example}"'
        if raw is None or raw == "":
            raise refuse(f"there is no value; {example}")
        if isinstance(raw, bool) or not isinstance(raw, str | int | float):
            raise refuse(f"this must be {self.kind.noun}; {example}")
        try:
            value = parse_quantity(raw if isinstance(raw, str) else repr(raw), self.kind)
        except UnitError as error:
            raise refuse(str(error)) from None
        self._hold_limits(value, str(raw))
        return value

    def _hold_limits(self, value: float, raw: str) -> None:
        """Refuse what cannot be: a mass below zero, a factor below one, a percentage without its sign."""
        floor = self.above if self.above is not None else self.at_least
        if floor is not None and (value < floor or value == self.above):
            limit = "more than zero" if self.above == 0.0 else f"at least {self._printed(floor)}"
            cure = "check the sign" if value < 0.0 else "check the number and the unit"
            if value == 0.0:
                cure = "leave it out if it is not known"
            raise refuse(f'"{raw}" is not possible here: it must be {limit}; {cure}')
        if self.at_most is not None and value > self.at_most:
            cure = "check the number and the unit"
            if self.kind is Kind.RATIO:
                cure = 'a percentage needs its sign, as in "85 %"'
            raise refuse(
                f'"{raw}" is not possible here: it must be at most {self._printed(self.at_most)}; {cure}'
            )

    def _printed(self, limit: float) -> str:
        return "zero" if limit == 0.0 else format_quantity(limit, self.kind.value)

    def written(self, value: float) -> str | float:
        """The SI number as it would stand in the file, in the unit of the example; a ratio as a number."""
        word = self.kind.example.partition(" ")[2]
        if self.kind is Kind.RATIO:
            return value
        number, _ = display_unit(value, self.kind.value, word, decimals=6)
        return f"{number.rstrip('0').rstrip('.')} {word}"

    def __get_pydantic_core_schema__(
        self, source: type[Any], handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        """Validate by :meth:`read`; serialise as the SI number."""
        return core_schema.no_info_plain_validator_function(
            self.read, serialization=core_schema.plain_serializer_function_ser_schema(float)
        )

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """A text with a number and one of the accepted unit words."""
        accepted = {*accepted_words(self.kind), *printed_symbols(self.kind)}
        words = "|".join(re.escape(word) for word in sorted(accepted, key=lambda word: (-len(word), word)))
        unit = f"({words})?" if self.kind is Kind.RATIO else f"({words})"
        if self.kind is Kind.LENGTH:
            unit = rf"{unit}( [0-9][0-9 ./]* ?(in|inch|inches))?"
        text: JsonSchemaValue = {
            "type": "string",
            "pattern": rf"^[+\-−–]?[0-9.][0-9., /eE+\-]*?{unit}$",
            "examples": [self.kind.example],
        }
        if self.kind is Kind.RATIO:
            return {"anyOf": [text, {"type": "number"}], "examples": [self.kind.example]}
        return text


@dataclass(frozen=True, slots=True)
class MassTolerance:
    """How far a mass may be off: in proportion to it, or as a mass.

    Attributes:
        ratio: part of the mass, or None where the tolerance is a mass.
        mass_kg: mass, kg, or None where the tolerance is a ratio.
    """

    ratio: float | None = None
    mass_kg: float | None = None

    def of(self, mass_kg: float) -> float:
        """Half width of the band around a mass, kg."""
        return abs(mass_kg) * self.ratio if self.ratio is not None else self.mass_kg or 0.0


class _RatioOrMass:
    """Marks a field that holds a tolerance of a mass, ``5 %`` or ``50 kg``."""

    _RATIO = Quantity(Kind.RATIO, at_least=0.0, at_most=1.0)
    _MASS = Quantity(Kind.MASS, at_least=0.0)

    def read(self, raw: object) -> MassTolerance:
        """The tolerance that stands in the file.

        Raises:
            PydanticCustomError: with one sentence and the cure.
        """
        if raw is None or raw == "":
            raise refuse('there is no value; write for instance "5 %" or "50 kg"')
        if isinstance(raw, str) and re.search(r"[^\W\d_]", re.sub(r"(?<=\d)[eE](?=[+-]?\d)", "", raw)):
            return MassTolerance(mass_kg=self._MASS.read(raw))
        return MassTolerance(ratio=self._RATIO.read(raw))

    def __get_pydantic_core_schema__(
        self, source: type[Any], handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        """Validate by :meth:`read`; serialise as the SI number beside what it is."""

        def written(value: MassTolerance) -> dict[str, float]:
            return {"ratio": value.ratio} if value.ratio is not None else {"kg": value.mass_kg or 0.0}

        return core_schema.no_info_plain_validator_function(
            self.read, serialization=core_schema.plain_serializer_function_ser_schema(written)
        )

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Either of the two texts, or a bare ratio."""
        ratio = self._RATIO.__get_pydantic_json_schema__(schema, handler)
        mass = self._MASS.__get_pydantic_json_schema__(schema, handler)
        return {"anyOf": [*ratio["anyOf"], {**mass, "examples": ["50 kg"]}], "examples": ["5 %", "50 kg"]}


def _whole(raw: object) -> int:
    text = str(raw) if isinstance(raw, str | int) and not isinstance(raw, bool) else ""
    if not re.fullmatch(r"\d{1,9}", text) or int(text) == 0:
        raise refuse("this must be a whole number, 1 or more")
    return int(text)


def _flag(raw: object) -> bool:
    if not isinstance(raw, bool):
        raise refuse("write true or false")
    return raw


def _text(raw: object) -> str:
    if raw is None:
        raise refuse("there is no text here; write some, or leave the key out if it may be left out")
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, int | float):
        return str(raw)
    if not isinstance(raw, str):
        raise refuse("this must be a text on one line, not a list or a block")
    if not raw.strip():
        raise refuse("there is no text here; write some, or leave the key out if it may be left out")
    return " ".join(raw.split())


def read_date(raw: object) -> datetime.date:
    """A calendar date written as ``2027-03-17``.

    Raises:
        PydanticCustomError: anything else, or a day that does not exist.
    """
    if isinstance(raw, datetime.date) and not isinstance(raw, datetime.datetime):
        return raw
    if not isinstance(raw, str) or not re.fullmatch(r"\d{4}-\d{2}-\d{2}", raw):
        raise refuse(f'"{raw}" is not a date; write year, month and day as in 2027-03-17')
    try:
        return datetime.date.fromisoformat(raw)
    except ValueError:
        raise refuse(f'"{raw}" is not a day of the calendar; check month and day') from None


def _months(raw: object) -> int:
    months = Quantity(Kind.MONTHS, above=0.0, at_most=1200.0).read(raw)
    if months != int(months):
        raise refuse("this must be a whole number of months")
    return int(months)


def _name(raw: object) -> str:
    name = _text(raw)
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9 _/+-]*", name):
        raise refuse(f'"{name}" cannot be a name; use letters, digits, spaces, hyphens and underscores only')
    return name


def _schema(**extra: object) -> Callable[[JsonSchemaValue], None]:
    return lambda schema: schema.update(extra)


Text = Annotated[str, BeforeValidator(_text)]
Name = Annotated[
    str, BeforeValidator(_name), Field(json_schema_extra={"pattern": "^[A-Za-z0-9][A-Za-z0-9 _/+-]*$"})
]
Serial = Annotated[str, BeforeValidator(_text)]
Date = Annotated[datetime.date, BeforeValidator(read_date), Field(examples=["2027-03-17"])]
Flag = Annotated[bool, BeforeValidator(_flag)]
Whole = Annotated[int, BeforeValidator(_whole), Field(json_schema_extra={"minimum": 1})]
Months = Annotated[
    int,
    BeforeValidator(_months),
    Kind.MONTHS,
    Field(
        json_schema_extra=_schema(type="string", pattern="^[0-9]+ (months?|years?)$", examples=["6 months"])
    ),
]

Mass = Annotated[float, Quantity(Kind.MASS, above=0.0)]
MassOrZero = Annotated[float, Quantity(Kind.MASS, at_least=0.0)]
Coordinate = Annotated[float, Quantity(Kind.LENGTH)]
Length = Annotated[float, Quantity(Kind.LENGTH, above=0.0)]
LengthOrZero = Annotated[float, Quantity(Kind.LENGTH, at_least=0.0)]
Angle = Annotated[float, Quantity(Kind.ANGLE, above=0.0, at_most=math.pi / 2.0)]
Factor = Annotated[float, Quantity(Kind.RATIO, at_least=1.0, at_most=5.0)]
RatioOrMass = Annotated[MassTolerance, _RatioOrMass()]
ShapeFactor = Annotated[float, Quantity(Kind.RATIO, above=0.0, at_most=5.0)]
RatioOrZero = Annotated[float, Quantity(Kind.RATIO, at_least=0.0, at_most=1.0)]
Share = Annotated[float, Quantity(Kind.RATIO, above=0.0, at_most=1.0)]
Stress = Annotated[float, Quantity(Kind.STRESS, above=0.0)]
Force = Annotated[float, Quantity(Kind.FORCE, above=0.0)]
Speed = Annotated[float, Quantity(Kind.SPEED, above=0.0)]
Area = Annotated[float, Quantity(Kind.AREA, above=0.0)]
LineMass = Annotated[float, Quantity(Kind.LINE_MASS, above=0.0)]
Torque = Annotated[float, Quantity(Kind.TORQUE, above=0.0)]
RotationalStiffness = Annotated[float, Quantity(Kind.ROTATIONAL_STIFFNESS, above=0.0)]
AngleOrZero = Annotated[float, Quantity(Kind.ANGLE, at_least=0.0, at_most=0.1)]
TopAngle = Annotated[float, Quantity(Kind.ANGLE, at_least=0.0, at_most=math.radians(89.0))]
Acceleration = Annotated[float, Quantity(Kind.ACCELERATION, above=0.0)]
AreaPerMass = Annotated[float, Quantity(Kind.AREA_PER_MASS, above=0.0)]
Position = tuple[Coordinate, Coordinate, Coordinate]
Size = tuple[Length, Length, Length]
