"""A check explained: its working, the equilibrium in every case, the claims, and nothing that is not in the plan."""

import math
from functools import cache

import pytest
from tests.scenarios.variants import assessed

from plumbhook.core.audit import audit_check
from plumbhook.core.errors import InputError
from plumbhook.planning.explain import explain


@cache
def assessment():
    return assessed("hallowmere-viaduct")


@pytest.mark.parametrize("check_id", [check.check_id for check in assessment().checks])
def test_every_check_of_the_plan_can_be_explained(check_id):
    found = explain(assessment(), check_id)
    assert audit_check(found.check) == ()
    assert found.inputs
    assert {claim.name for claim in found.claims} >= {"weight of the load", "centre of gravity", "factors"}


def test_the_number_that_governs_is_one_of_the_cases_shown():
    found = explain(assessment(), "line.T1.0")
    (trace,) = found.quantities
    assert trace.quantity == "tension:T1"
    governing = [case for case in trace.cases if case.governs]
    worst = max(trace.cases, key=lambda case: case.value)
    assert worst in governing
    assert worst.value == found.check.steps[0].result.value
    assert len(trace.cases) == 3 * 13


def test_every_solved_case_that_is_shown_balances():
    for trace in explain(assessment(), "compression.U1").quantities:
        for case in trace.cases:
            if case.method == "hand":
                assert math.isnan(case.residual_force_N)
            else:
                assert case.status == "stable"
                assert case.residual_force_N < 1e-6 * 50e4


def test_a_check_that_is_not_there_names_the_nearest_ones():
    with pytest.raises(InputError, match=r"did you mean compression\.U1"):
        explain(assessment(), "Comression.U1")
    with pytest.raises(InputError, match="name none to list them all"):
        explain(assessment(), "zzzzzz")
