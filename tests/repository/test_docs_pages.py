"""The generated pages say what the code says, and say it the same on every machine."""

import math
import sys
import types
from dataclasses import dataclass
from enum import Enum, IntEnum
from pathlib import Path
from typing import Annotated, Any

import pytest
import typer
from pydantic import BaseModel, Field, WithJsonSchema

from docs_pages import api, commands, exit_codes, lift_file, map_of_docs, verification
from docs_pages.markdown import cell, document, from_docstring, slug, table
from plumbhook.core.check import SourceQuality
from plumbhook.core.verification import VerificationCase


def test_a_table_cell_is_one_line_without_a_bare_pipe() -> None:
    assert cell("a |\n  b") == "a \\| b"
    assert table(("x",), [("1",)]) == "| x |\n| --- |\n| 1 |"


def test_blocks_are_parted_by_one_empty_line() -> None:
    assert document("# T\n\n", "", "text") == "# T\n\ntext\n"
    assert slug("Lift point (rated)") == "lift-point-rated"


def test_a_docstring_keeps_its_prose_and_its_sections_become_lists() -> None:
    text = from_docstring(
        "Tension in a ``leg``, see :class:`~core.Leg`.\n\n"
        "Args:\n    mass_kg: mass of the load,\n        rig included.\n    angle_rad: from the vertical.\n\n"
        "Returns:\n    Tension in N.\n\n"
        "Raises:\n    ValueError: the angle is not below pi/2.\n\n"
        "Example:\n    >>> tension(1.0, 0.0)\n    9.8\n"
    )
    assert text == (
        "Tension in a `leg`, see `core.Leg`.\n\n"
        "**Args**\n\n- `mass_kg`: mass of the load, rig included.\n- `angle_rad`: from the vertical.\n\n"
        "**Returns** Tension in N.\n\n"
        "**Raises**\n\n- `ValueError`: the angle is not below pi/2.\n\n"
        "**Example**\n\n```python\n>>> tension(1.0, 0.0)\n9.8\n```"
    )


class Kind(Enum):
    """Kinds of line."""

    TOP = "from the hook"


@dataclass(frozen=True)
class Line:
    """A line of the rig.

    Attributes:
        length_m: bearing to bearing.
    """

    length_m: float
    kind: Kind = Kind.TOP

    @property
    def doubled_m(self) -> float:
        """Twice the length."""
        return 2.0 * self.length_m

    @classmethod
    def short(cls, length_m: float) -> "Line":
        """A short one."""
        return cls(length_m)

    def _hidden(self) -> None: ...


def stretch(line: Line, *, force_N: float = 0.0, kind: Kind = Kind.TOP, scale: Any = math.sqrt) -> float:
    """How far the line stretches, m."""
    raise AssertionError("only its signature and docstring are read")


def undocumented() -> None:
    raise AssertionError("only its signature and docstring are read")


def module_of(**names: object) -> types.ModuleType:
    module = types.ModuleType("rigging", "Small surface for scripts.")
    vars(module).update(names, __all__=["__version__", *names])
    return module


def test_the_reference_shows_signature_fields_properties_and_values_of_what_is_public() -> None:
    text = api.page_of(module_of(Line=Line, stretch=stretch, Kind=Kind))

    assert "- [`Line`](#line)" in text
    assert "Line(length_m: float, kind: Kind = Kind.TOP)\n" in text.replace("test_docs_pages.", "")
    assert "- `length_m`: bearing to bearing." in text
    assert "### Line.doubled_m\n\nTwice the length." in text
    assert "Line.short(length_m: float)" in text
    assert "- `TOP`: from the hook" in text
    assert "_hidden" not in text
    assert "__version__" not in text


def test_a_long_signature_has_a_parameter_a_line_and_no_address_of_memory() -> None:
    text = api.signature_text("stretch", stretch)
    assert text.splitlines()[0] == "stretch("
    assert "    *,\n    force_N: float = 0.0,\n" in text
    assert "kind: " in text
    assert "= Kind.TOP,\n" in text
    assert "= sqrt,\n" in text
    assert " at 0x" not in text


def test_a_public_name_without_docstring_or_no_public_name_at_all_is_refused() -> None:
    with pytest.raises(LookupError, match="undocumented has no docstring"):
        api.page_of(module_of(undocumented=undocumented))
    with pytest.raises(LookupError, match="names nothing"):
        api.page_of(module_of())


def test_the_records_page_shows_the_classes_that_a_module_defines_and_no_imported_one() -> None:
    text = api.records_page_of([sys.modules["plumbhook.core.verification"]])
    assert "## VerificationCase" in text
    assert "- `published`: the value as the source gives it" in text
    assert "## SourceQuality" not in text
    with pytest.raises(LookupError, match="no public class"):
        api.records_page_of([module_of()])


def application() -> typer.Typer:
    app = typer.Typer(help="Plan lifts.")

    @app.command()
    def plan(
        file: Annotated[Path, typer.Argument(help="The lift file.")],
        out: Annotated[Path, typer.Option(help="Folder to write into. " + "More words. " * 20)] = Path("out"),
    ) -> None:
        """Plan a lift and write its papers."""

    @app.command(hidden=True)
    def secret() -> None:
        """Not for users."""

    return app


def test_the_help_of_each_command_is_shown_in_plain_text_of_fixed_width(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    wide = commands.page_of(application(), "tool")
    monkeypatch.setenv("COLUMNS", "50")
    monkeypatch.setenv("FORCE_COLOR", "1")

    assert commands.page_of(application(), "tool") == wide
    assert "## tool plan" in wide
    assert "Usage: tool plan [OPTIONS]" in wide
    assert "Plan a lift and write its papers." in wide
    assert "secret" not in wide
    assert "\x1b" not in wide
    assert 80 < max(len(line) for line in wide.splitlines() if "More words" in line) <= commands.WIDTH


def test_a_command_without_help_is_refused() -> None:
    app = typer.Typer(help="Plan lifts.")
    app.command("bare")(lambda: None)
    app.command("other")(lambda: None)
    with pytest.raises(LookupError, match="'tool bare' has no help text"):
        commands.page_of(app, "tool")


class Sling(BaseModel):
    """A sling."""

    length: str = Field(description="Bearing to bearing, with its unit.")
    legs: int = Field(default=1, ge=1, description="Number | of legs.")
    note: str | None = None


class Limits(BaseModel):
    """Limits."""

    tilt: Annotated[float, WithJsonSchema({"type": "string", "examples": ["35 deg"]})] = math.radians(2.0)
    renewed: Annotated[int, WithJsonSchema({"type": "string", "examples": ["6 months"]})] = 12


class Rig(BaseModel):
    """A rig."""

    limits: Limits = Limits()
    slings: list[Sling]
    kind: Kind = Kind.TOP
    by_name: dict[str, Sling] = {}


def test_the_lift_file_is_shown_part_by_part_in_the_order_of_reading() -> None:
    text = lift_file.page_of(Rig.model_json_schema())

    assert "| `slings` | list of [Sling](#sling) | required |" in text
    assert "| `by_name` | map of name to [Sling](#sling) | empty |" in text
    assert "| `length` | text | required | Bearing to bearing, with its unit. |" in text
    assert "| `legs` | whole number (≥ 1) | `1` | Number \\| of legs. |" in text
    assert "| `note` | text | not given |  |" in text
    assert "One of: `from the hook`." in text
    assert text.index("## Sling") < text.index("## Kind")


def test_the_default_of_a_quantity_is_written_with_its_unit() -> None:
    schema = lift_file.as_written(Rig.model_json_schema())
    text = lift_file.page_of(schema)

    assert schema["$defs"]["Limits"]["properties"]["tilt"]["default"] == "2 deg"
    assert schema["properties"]["limits"]["default"] == {}
    assert "| `tilt` | angle, such as `35 deg` | `2 deg` |" in text
    assert "| `renewed` | time in calendar months, such as `6 months` | `12 months` |" in text
    assert "| `limits` | [Limits](#limits) | all as left out there |" in text


def test_a_quantity_whose_unit_is_not_known_is_refused() -> None:
    with pytest.raises(LookupError, match="no unit"):
        lift_file.as_written({"type": "string", "examples": ["3 ells"], "default": 1.0})


def test_positions_and_rows_are_told_by_what_stands_in_each_place() -> None:
    metre = {"type": "string", "examples": ["4.30 m"]}
    tonne = {"type": "string", "examples": ["12.4 t"]}
    position = {"type": "array", "prefixItems": [metre, metre, metre]}
    row = {"type": "array", "prefixItems": [metre, tonne]}
    assert lift_file.type_text(position) == "list of 3: length, such as `4.30 m` each"
    assert lift_file.type_text(row) == "list of length, such as `4.30 m` and mass, such as `12.4 t`"


def test_a_type_that_the_page_cannot_explain_is_refused() -> None:
    with pytest.raises(LookupError, match="'tensor'"):
        lift_file.type_text({"type": "tensor"})


def case(
    computed: float, *, published: float = 9.81, tolerance: float = 0.005, relative: bool = False
) -> VerificationCase:
    return VerificationCase(
        case_id="gravity.standard.g",
        title="Standard acceleration of free fall",
        source="3rd CGPM (1901)",
        quality=SourceQuality.FROM_MEMORY,
        published=published,
        computed=computed,
        unit="m/s2",
        tolerance=tolerance,
        tolerance_kind="relative" if relative else "absolute",
    )


def test_a_case_shows_both_numbers_the_difference_and_how_far_the_source_is_trusted() -> None:
    text = verification.page_of([case(9.80665)])
    assert "1 values. All agree within their tolerance." in text
    assert "Source: 3rd CGPM (1901) (from memory, confirm against the current edition)" in text
    assert "- from memory, confirm against the current edition: 1" in text
    assert "| 9.81 m/s2 | 9.80665 m/s2 | -0.0034 | 0.005 | agrees |" in text


@pytest.mark.parametrize("computed", [9.79, math.nan, math.inf])
def test_a_case_that_disagrees_is_named_at_the_head(computed: float) -> None:
    text = verification.page_of([case(9.81), case(computed)])
    assert "2 values. 1 disagree: `gravity.standard.g`." in text
    assert "**disagrees**" in text


def test_noise_of_the_last_bits_leaves_the_page_as_it_is() -> None:
    assert verification.page_of([case(9.81)]) == verification.page_of([case(9.81 + 1e-12)])
    zero = case(0.0, published=0.0)
    assert verification.page_of([zero]) == verification.page_of([case(-1e-13, published=0.0)])


def test_a_relative_tolerance_is_shown_in_per_cent() -> None:
    text = verification.page_of([case(9.9, tolerance=0.01, relative=True)])
    assert "| +0.92 % | 1 % | agrees |" in text


def test_no_case_at_all_is_refused() -> None:
    with pytest.raises(LookupError, match="no published case"):
        verification.page_of([])


def test_every_exit_code_is_explained_and_no_other() -> None:
    names = list(exit_codes.MEANINGS)
    text = exit_codes.page_of(IntEnum("Codes", names, start=0))
    assert "| 0 | Everything was evaluated, and everything passes. It is not a permission to lift. |" in text
    assert "| 4 | An error of the program itself." in text
    with pytest.raises(LookupError, match="differ"):
        exit_codes.page_of(IntEnum("Codes", [*names, "STRANGE"], start=0))


def test_the_map_lists_every_page_by_its_title(tmp_path: Path) -> None:
    for name, text in {
        "how-to/weigh.md": "# Weigh a load\n",
        "reference/api.md": "<!-- x -->\n\n# Python\n",
    }.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")

    text = map_of_docs.page(tmp_path)

    assert "- [Weigh a load](how-to/weigh.md)" in text
    assert "- [Python](reference/api.md)" in text
    assert "## Tutorials" not in text


def test_a_page_without_title_or_in_an_unknown_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "how-to").mkdir()
    (tmp_path / "how-to" / "x.md").write_text("no title\n", encoding="utf-8")
    with pytest.raises(LookupError, match="no title"):
        map_of_docs.page(tmp_path)
    (tmp_path / "notes").mkdir()
    (tmp_path / "notes" / "y.md").write_text("# Y\n", encoding="utf-8")
    with pytest.raises(LookupError, match="no known kind"):
        map_of_docs.page(tmp_path)
