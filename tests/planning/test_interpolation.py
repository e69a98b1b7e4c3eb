"""Many values of a function of one number: as exact as the function, whatever it does."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.planning.interpolation import ManyValues


class Counted:
    """A function that counts how often it is asked."""

    def __init__(self, function):
        self.function, self.asked = function, 0

    def __call__(self, places):
        self.asked += places.size
        return self.function(places)


@pytest.mark.parametrize("function", [np.exp, np.log, lambda x: 1.0 / (9.0 - x), lambda x: np.tan(x / 6.0)])
@given(low=st.floats(0.1, 3.0), width=st.floats(1.0, 2.0), seed=st.integers(0, 9))
def test_a_smooth_function_is_met_to_eleven_digits_and_asked_seldom(function, low, width, seed):
    places = np.random.default_rng(seed).uniform(low, low * width, 5000)
    counted = Counted(function)
    found = ManyValues(counted)(places)
    truth = function(places)
    assert found == pytest.approx(truth, abs=1e-12 + 2e-11 * np.abs(truth).max())
    assert counted.asked < 1000


def test_where_two_curves_cross_the_function_itself_is_asked():
    def largest(x):
        return np.maximum(np.sin(x), 0.3 * x)

    places = np.random.default_rng(1).uniform(1.0, 4.0, 5000)
    assert ManyValues(largest)(places) == pytest.approx(largest(places), rel=1e-11)


def test_what_has_no_answer_stays_without_one():
    def until_three(x):
        return np.where(x < 3.0, 1.0 / np.maximum(3.0 - x, 1e-9), np.nan)

    places = np.concatenate([np.linspace(0.5, 5.0, 1000), [np.nan, np.inf, -1.0, 0.0]])
    found = ManyValues(until_three)(places)
    assert np.array_equal(np.isnan(found), np.isnan(until_three(places)))


def test_a_value_does_not_depend_on_what_else_is_asked():
    places = np.random.default_rng(2).uniform(1.0, 9.0, 4000)
    whole = ManyValues(np.cosh)(places)
    again = ManyValues(np.cosh)
    halves = np.concatenate([again(places[2000:]), again(places[:2000])])
    assert np.array_equal(whole, np.concatenate([halves[2000:], halves[:2000]]))


def test_few_places_are_computed_one_by_one():
    places = np.linspace(1.0, 2.0, 50)
    assert np.array_equal(ManyValues(np.exp)(places), np.exp(places))
