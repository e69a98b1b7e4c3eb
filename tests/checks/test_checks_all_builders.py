"""What holds for every check of the layer: the audit agrees, nothing passes without its numbers, sources are named."""

import dataclasses
import importlib
import inspect
import math
import pkgutil
from dataclasses import replace

import pytest
import typst
from check_examples import ARGUMENTS, build

import plumbhook.checks
from plumbhook.checks.demand import Demand
from plumbhook.core.audit import audit_check, require_audit
from plumbhook.core.check import Check, Status
from plumbhook.core.errors import InputError
from plumbhook.core.expression_text import symbol_typst, to_typst
from plumbhook.core.units import format_quantity

BUILDERS = list(ARGUMENTS)


def names(builder):
    return builder.__name__


def modules():
    for found in pkgutil.walk_packages(plumbhook.checks.__path__, "plumbhook.checks."):
        yield importlib.import_module(found.name)


def public_functions():
    for module in modules():
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ == module.__name__ and not name.startswith("_"):
                yield function


def builders_of_the_layer():
    return {f for f in public_functions() if f.__annotations__.get("return") == "Check"}


def test_every_builder_of_the_layer_has_an_example_here():
    assert builders_of_the_layer() == set(BUILDERS), "give the new builder an example in check_examples.py"


@pytest.mark.parametrize("builder", BUILDERS, ids=names)
def test_the_printed_working_gives_the_numbers_of_the_code(builder):
    assert audit_check(build(builder)) == ()


@pytest.mark.parametrize("builder", BUILDERS, ids=names)
def test_the_example_passes_and_names_rule_and_cure(builder):
    check = build(builder)
    assert check.status is Status.PASS
    assert str(check.clause)
    assert check.cure
    assert math.isfinite(check.utilisation)


@pytest.mark.parametrize("builder", BUILDERS, ids=names)
@pytest.mark.parametrize("step", range(20))
def test_a_wrong_formula_in_any_step_is_found(builder, step):
    check = build(builder)
    if step >= len(check.steps):
        return
    wrong = replace(check.steps[step], formula=f"({check.steps[step].formula})*1.0000001")
    steps = (*check.steps[:step], wrong, *check.steps[step + 1 :])
    assert audit_check(replace(check, steps=steps))


def wrong_numbers(builder):
    """Each number among the arguments of a builder, replaced by one that must not pass."""
    for name, value in ARGUMENTS[builder].items():
        if isinstance(value, float):
            yield from ({name: bad} for bad in (math.nan, math.inf, -math.inf))
        elif isinstance(value, Demand):
            yield {name: replace(value, nominal=replace(value.nominal, value=math.nan))}
            for bad in (math.nan, math.inf, -1.0):
                candidates = tuple(replace(candidate, value=bad) for candidate in value.candidates)
                yield {name: replace(value, candidates=candidates)}
            yield {
                name: replace(
                    value, candidates=(replace(value.candidates[0], value=math.nan), *value.candidates[1:])
                )
            }
        elif dataclasses.is_dataclass(value):
            for field in dataclasses.fields(value):
                if isinstance(getattr(value, field.name), float):
                    for bad in (math.nan, math.inf):
                        yield {name: (value, {field.name: bad})}


# Where more is better, an infinite capacity or an unlimited limit would still not be a number.
CASES = [(builder, change) for builder in BUILDERS for change in wrong_numbers(builder)]


@pytest.mark.parametrize(
    ("builder", "change"), CASES, ids=[f"{b.__name__}-{n}" for n, (b, _) in enumerate(CASES)]
)
def test_nothing_passes_with_a_number_missing_infinite_or_negative(builder, change):
    try:
        arguments = {
            name: replace(value[0], **value[1]) if isinstance(value, tuple) and len(value) == 2 else value
            for name, value in change.items()
        }
        check = build(builder, **arguments)
    except InputError:
        return
    assert check.status is not Status.PASS


def values_of(check):
    yield from (value for value in (check.demand, check.capacity, check.nominal) if value is not None)
    for step in check.steps:
        yield from (step.result, *step.inputs)


MISSING = [
    (builder, name)
    for builder in BUILDERS
    for name, parameter in inspect.signature(builder).parameters.items()
    if "None" in str(parameter.annotation) and ARGUMENTS[builder].get(name) is not None
]


@pytest.mark.parametrize(
    ("builder", "name"), MISSING, ids=[f"{builder.__name__}-{name}" for builder, name in MISSING]
)
def test_what_is_not_known_is_never_printed_as_a_number(builder, name):
    try:
        check = build(builder, **{name: None})
    except (InputError, ValueError):
        return
    missing = [value for value in values_of(check) if value.origin == "missing"]
    assert all(math.isnan(value.value) for value in missing)


@pytest.mark.parametrize("builder", BUILDERS, ids=names)
def test_what_is_known_is_not_called_missing(builder):
    assert [value.symbol for value in values_of(build(builder)) if value.origin == "missing"] == []


def test_every_builder_says_its_arguments_and_what_it_returns():
    for builder in builders_of_the_layer():
        text = inspect.getdoc(builder) or ""
        missing = [
            name
            for name in inspect.signature(builder).parameters
            if f"{name}: " not in text and builder.__name__ != "compression_check"
        ]
        assert not missing, (builder.__name__, missing)
        assert "Returns:" in text


FORMULA_MODULES = {
    *(
        f"plumbhook.checks.{name}"
        for name in (
            "asme_bth_1.pins",
            "aisc_360_2010.bolts",
            "aisc_360_2010.columns",
            "loler_1998.periods",
            "manual_handling.guidelines",
            "nd_0027_2016.factors",
            "en_1993_1_8_2005.bolts",
            "en_1993_1_8_2005.flange_joint",
            "en_1993_1_8_2005.pins",
            "en_1993_1_8_2005.t_stub",
            "en_1993_1_8_2005.welds",
            "en_818_4_1996.chain_slings",
            "en_1492_2000.textile_slings",
            "en_13414_1_2003.wire_rope_slings",
            "leg_factors",
            "shackles.reductions",
            "us_slings.hitches",
            "us_slings.handbook",
        )
    ),
    "plumbhook.checks.rated_load",
    "plumbhook.checks.sections",
    "plumbhook.checks.attitude",
    "plumbhook.checks.en_1993_1_1_2005.flexural_buckling",
    "plumbhook.checks.en_1993_1_1_2005.interaction",
    "plumbhook.checks.en_1993_1_1_2005.second_order",
    "plumbhook.checks.en_13155_2003.strength",
    "plumbhook.checks.asme_bth_1.segmented",
    "plumbhook.checks.asme_bth_1.compression",
    "plumbhook.checks.asme_bth_1.bending",
}


def test_every_formula_names_its_source():
    functions = [f for f in public_functions() if f.__module__ in FORMULA_MODULES]
    numbers = [
        f for f in functions if f.__annotations__.get("return") in ("float", "FloatOrArray", "int", "bool")
    ]
    assert len(numbers) > 25
    without = [f.__name__ for f in numbers if "Source:" not in (inspect.getdoc(f) or "")]
    assert without == []


def test_all_examples_together_pass_the_audit_before_anything_is_issued():
    require_audit([build(builder) for builder in BUILDERS])


def test_every_formula_of_every_check_can_be_set_in_print(tmp_path):
    lines = ["#set page(width: 60cm, height: auto)"]
    for builder in BUILDERS:
        for step in build(builder).steps:
            shown = to_typst(step.formula, step.inputs, lambda v: format_quantity(v.value, v.unit, v.display))
            symbol = symbol_typst(step.result.symbol)
            lines.append(f"$ {symbol} = {to_typst(step.formula)} = {shown} $")
    source = tmp_path / "formulas.typ"
    source.write_text("\n".join(lines), encoding="utf-8")
    assert len(lines) > 40
    assert typst.compile(str(source), ignore_system_fonts=True).startswith(b"%PDF")


def test_the_type_of_a_check_is_frozen():
    check = build(BUILDERS[0])
    assert isinstance(check, Check)
    with pytest.raises(dataclasses.FrozenInstanceError):
        check.title = "another"  # type: ignore[misc]
