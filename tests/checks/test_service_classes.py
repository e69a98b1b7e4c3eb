"""Service classes of a lifter by its load cycles, and the limits that published cases find by halving."""

import math

import pytest

from plumbhook.checks.asme_bth_1.service_classes import FATIGUE_NOT_CHECKED, MOST_CYCLES, service_class
from plumbhook.checks.verification_limits import last_where
from plumbhook.core.errors import InputError


@pytest.mark.parametrize(
    ("cycles", "expected"),
    [
        (0, 0),
        (20_000, 0),
        (20_001, 1),
        (100_000, 1),
        (100_001, 2),
        (500_001, 3),
        (2_000_000, 3),
        (2_000_001, 4),
    ],
)
def test_a_class_ends_with_its_last_cycle(cycles, expected):
    # 20 000: published calculation of a lifting beam (service class 0, no fatigue design); the others from memory.
    assert service_class(cycles) == expected


@pytest.mark.parametrize("cycles", [math.nan, math.inf, -1.0])
def test_a_number_of_cycles_that_is_missing_has_no_class(cycles):
    with pytest.raises(InputError, match="count those of the whole life of the lifter"):
        service_class(cycles)


def test_what_a_strut_takes_for_granted_names_the_limit_of_class_0():
    assert FATIGUE_NOT_CHECKED == "No more than 20 000 load cycles; fatigue is not checked."
    assert service_class(MOST_CYCLES[0]) == 0


def test_a_limit_that_does_not_exist_is_not_found():
    assert last_where(lambda x: x <= 3.0, 0.0, 10.0) == pytest.approx(3.0)
    assert math.isnan(last_where(lambda x: True, 0.0, 10.0))
    assert math.isnan(last_where(lambda x: False, 0.0, 10.0))
