"""Numbers that go into a check: which are refused, in which words, all at once."""

import math

import pytest

from plumbhook.checks.inputs import input_problems, refuse
from plumbhook.core.check import Value
from plumbhook.core.errors import InputError


def thickness(metres):
    return Value("t", metres, "m", "thickness of the plate", "drawing", "mm")


@pytest.mark.parametrize(
    ("kind", "metres", "usable"),
    [
        ("positive", 0.01, True),
        ("positive", 0.0, False),
        ("positive", -0.01, False),
        ("not_negative", 0.01, True),
        ("not_negative", 0.0, True),
        ("not_negative", -0.01, False),
        ("finite", 0.01, True),
        ("finite", 0.0, True),
        ("finite", -0.01, True),
    ],
)
def test_a_sign_that_cannot_be_is_a_problem(kind, metres, usable):
    assert (input_problems("c", **{kind: [thickness(metres)]}) == ()) is usable


@pytest.mark.parametrize("kind", ["positive", "not_negative", "finite"])
@pytest.mark.parametrize("metres", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_a_problem_whatever_its_sign(kind, metres):
    assert len(input_problems("c", **{kind: [thickness(metres)]})) == 1


def test_the_sentence_says_what_is_wrong_and_what_to_do():
    (missing,) = input_problems("c", positive=[thickness(math.nan)])
    (negative,) = input_problems("c", positive=[thickness(-0.012)])
    assert "thickness of the plate is missing" in str(missing)
    assert "must be more than zero, not −12 mm" in str(negative)
    assert "enter it as on the drawing" in str(negative)


def test_all_problems_are_told_at_once_and_none_is_no_refusal():
    problems = input_problems(
        "c", positive=[thickness(0.0), thickness(math.nan)], finite=[thickness(math.inf)]
    )
    assert len(problems) == 3
    with pytest.raises(InputError) as refused:
        refuse(problems)
    assert len(refused.value.problems) == 3
    refuse(())
