"""What holds for every check of the layer: the audit agrees, nothing passes without its numbers, sources are named."""

import dataclasses
import importlib
import inspect
import math
import pkgutil
from dataclasses import replace

import pytest
from crane_examples import ARGUMENTS, build

import plumbhook.crane
from plumbhook.core.audit import audit_check, require_audit
from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.crane.verification import crane_cases

BUILDERS = list(ARGUMENTS)


def names(builder):
    return builder.__name__


def public_functions():
    for found in pkgutil.walk_packages(plumbhook.crane.__path__, "plumbhook.crane."):
        module = importlib.import_module(found.name)
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ == module.__name__ and not name.startswith("_"):
                yield function


@pytest.mark.parametrize("case", crane_cases(), ids=lambda case: case.case_id)
def test_the_computed_value_is_the_published_one(case):
    assert case.ok, f"{case.title}: {case.published} {case.unit} in {case.source}, computed {case.computed}"


def test_every_builder_of_the_layer_has_an_example_here():
    builders = {f for f in public_functions() if f.__annotations__.get("return") == "Check"}
    assert builders == set(BUILDERS), "give the new builder an example in crane_examples.py"


@pytest.mark.parametrize("builder", BUILDERS, ids=names)
def test_the_example_passes_and_its_working_gives_the_numbers_of_the_code(builder):
    check = build(builder)
    assert audit_check(check) == ()
    assert check.status is Status.PASS
    assert check.cure


def wrong_numbers(builder):
    for name, value in ARGUMENTS[builder].items():
        if isinstance(value, float):
            yield from ({name: bad} for bad in (math.nan, math.inf, -math.inf))
        elif name in ("parts", "nominal_parts"):
            for bad in (math.nan, math.inf, -1.0):
                yield {name: (replace(value[0], mass_kg=bad), *value[1:])}
        elif dataclasses.is_dataclass(value):
            for field in dataclasses.fields(value):
                if isinstance(getattr(value, field.name), float):
                    for bad in (math.nan, math.inf):
                        yield {name: (value, {field.name: bad})}


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


def test_every_formula_names_its_source():
    formulas = [
        f
        for f in public_functions()
        if f.__annotations__.get("return") in ("float", "FloatOrArray")
        and f.__module__ != "plumbhook.crane.chart"
    ]
    assert len(formulas) >= 7
    assert [f.__name__ for f in formulas if "Source:" not in (inspect.getdoc(f) or "")] == []


def test_all_examples_together_pass_the_audit_before_anything_is_issued():
    require_audit([build(builder) for builder in BUILDERS])
