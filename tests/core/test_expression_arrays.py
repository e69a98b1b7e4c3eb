"""The printed formula over arrays gives, sample by sample, what it gives for one number."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plumbhook.core.expression import FUNCTIONS, ExpressionError, evaluate
from plumbhook.core.expression_arrays import evaluate_arrays

FORMULAS = [
    "a + b*c - a/b",
    "-a**2 + 3*pi",
    "max(a, b, c) - min(a, b)",
    "sqrt(abs(a)) + exp(-abs(b)) + log(c**2 + 1)",
    "sin(a) + cos(b) + tan(c/10) + atan(a) + atan2(b, c)",
    "asin(a/20) + acos(b/20)",
    "max(0, 2*(1 - a/30)/(1 + sqrt((1 + c)**2 + 4)))",
]
numbers = st.floats(-9.0, 9.0).filter(lambda x: abs(x) > 1e-3)


@pytest.mark.parametrize("formula", FORMULAS)
@settings(max_examples=15, deadline=None)
@given(rows=st.lists(st.tuples(numbers, numbers, numbers), min_size=1, max_size=5))
def test_every_sample_has_the_value_of_the_formula_for_it_alone(formula, rows):
    columns = {name: np.array(column) for name, column in zip("abc", zip(*rows, strict=True), strict=True)}
    found = evaluate_arrays(formula, columns)
    for number, row in enumerate(rows):
        alone = evaluate(formula, dict(zip("abc", row, strict=True)))
        assert found[number] == pytest.approx(alone, rel=1e-12, abs=1e-12)


def test_all_functions_of_a_formula_work_on_arrays():
    used = " ".join(FORMULAS)
    assert all(f"{name}(" in used for name in FUNCTIONS)


def test_numbers_alone_give_a_number():
    assert evaluate_arrays("2*a", {"a": 3.0}) == 6.0
    assert isinstance(evaluate_arrays("2*a", {"a": 3.0}), float)


@pytest.mark.parametrize("formula", ["max(a, 1)", "min(1, a)", "a + 1", "1/a"])
def test_a_missing_number_stays_missing(formula):
    assert math.isnan(evaluate_arrays(formula, {"a": np.array([math.nan, 1.0])})[0])


@pytest.mark.parametrize(
    ("formula", "value"), [("1/a", 0.0), ("sqrt(a)", -1.0), ("a**0.5", -1.0), ("log(a)", 0.0)]
)
def test_where_one_number_is_refused_an_array_has_no_finite_number(formula, value):
    with pytest.raises(ExpressionError):
        evaluate(formula, {"a": value})
    assert not np.isfinite(evaluate_arrays(formula, {"a": np.array([value])}))[0]


def test_a_symbol_without_value_is_an_error():
    with pytest.raises(ExpressionError, match="'b'"):
        evaluate_arrays("a + b", {"a": np.array([1.0])})
