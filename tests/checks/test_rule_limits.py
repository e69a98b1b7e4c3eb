"""Bounds of a rule pack on what the plan works with, and evidence of competence on the day."""

import math
from datetime import date

import pytest
from check_examples import build

from plumbhook.checks.rule_limits import competence_check, rule_limit_check
from plumbhook.core.check import Status


@pytest.mark.parametrize(
    ("bound", "adopted", "off", "status"),
    [
        ({"at_least": 1.10}, 1.10, 0.0, Status.PASS),
        ({"at_least": 1.10}, 1.30, 0.0, Status.PASS),
        ({"at_least": 1.10}, 1.05, 0.05, Status.FAIL),
        ({"at_most": 2.0}, 2.0, 0.0, Status.PASS),
        ({"at_most": 2.0}, 1.0, 0.0, Status.PASS),
        ({"at_most": 2.0}, 2.3, 0.3, Status.FAIL),
    ],
)
def test_the_plan_is_off_by_what_lies_beyond_the_bound(bound, adopted, off, status):
    check = build(rule_limit_check, **{"at_least": None, **bound}, adopted=adopted)
    assert check.demand.value == pytest.approx(off, abs=1e-15)
    assert check.status is status


@pytest.mark.parametrize("side", ["at_least", "at_most"])
@pytest.mark.parametrize("unknown", [math.nan, math.inf, -math.inf])
def test_a_bound_or_a_plan_without_a_number_is_not_evaluated(side, unknown):
    none = {"at_least": None, "at_most": None}
    assert build(rule_limit_check, **{**none, side: unknown}, adopted=1.0).status is Status.NOT_EVALUATED
    assert build(rule_limit_check, **{**none, side: 1.0}, adopted=unknown).status is Status.NOT_EVALUATED
    assert build(rule_limit_check, **{**none, side: 1.0}, adopted=None).status is Status.NOT_EVALUATED


@pytest.mark.parametrize("bounds", [{}, {"at_least": 1.0, "at_most": 2.0}])
def test_a_rule_has_one_bound(bounds):
    with pytest.raises(ValueError, match="one bound"):
        build(rule_limit_check, **{"at_least": None, **bounds})


def test_a_rule_that_is_relaxed_by_name_does_not_fail_but_says_so():
    check = build(rule_limit_check, adopted=1.0, relaxed="sheltered quay, A. Example")
    assert check.status is Status.NOT_APPLICABLE
    assert "A. Example" in check.not_applicable_because


def test_evidence_counts_on_its_last_day_and_not_after():
    day = date(2027, 3, 17)
    last = build(competence_check, competent_until=day, lift_date=day)
    assert last.status is Status.PASS
    assert (last.demand.value, last.capacity.value) == (0.0, 1.0)
    assert build(competence_check, competent_until=day, lift_date=date(2027, 3, 18)).status is Status.FAIL
    assert build(competence_check, competent_until=None, lift_date=day).status is Status.NOT_EVALUATED
