"""Published values of the checks: sections, buckling curves, columns, allowable stresses, stability."""

import json
from importlib.resources import files

import pytest

from plumbhook.checks.verification import checks_cases
from plumbhook.core.check import SourceQuality
from plumbhook.core.verification import VerificationCase

CASES = checks_cases()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.case_id)
def test_the_computed_value_is_the_published_one(case):
    assert case.ok, f"{case.title}: {case.published} {case.unit} in {case.source}, computed {case.computed}"


def test_ids_are_unique_and_each_case_names_its_source():
    assert len({case.case_id for case in CASES}) == len(CASES)
    assert all(case.source and case.title for case in CASES)


def test_what_is_called_published_is_most_of_the_list_and_own_figures_say_so():
    published = [case for case in CASES if case.quality is SourceQuality.PUBLISHED]
    assert len(published) > 100
    assert all(
        "own" in case.source or "worked out" in case.source or "recomputed" in case.source
        for case in CASES
        if case.quality is SourceQuality.OWN_DERIVATION
    )


def test_tolerances_are_those_of_print_and_not_of_convenience():
    # Half a unit of the last printed digit of a value with three digits is at most half a percent.
    for case in CASES:
        if case.tolerance_kind == "absolute" and case.published:
            assert case.tolerance <= 0.005 * abs(case.published), case.case_id


def test_the_data_hold_no_computed_value():
    folder = files("plumbhook").joinpath("data", "verification")
    names = [item.name for item in folder.iterdir() if item.name.startswith("checks_")]
    assert len(names) >= 5
    for name in names:
        for item in json.loads(folder.joinpath(name).read_text(encoding="utf-8")):
            assert "computed" not in item


def make(**changes):
    given = {
        "case_id": "x",
        "title": "x",
        "source": "x",
        "quality": SourceQuality.PUBLISHED,
        "published": 2.0,
        "computed": 2.0,
        "unit": "kN",
        "tolerance": 0.05,
        "tolerance_kind": "absolute",
    }
    return VerificationCase(**{**given, **changes})


def test_a_case_is_good_only_within_its_tolerance():
    assert make(computed=2.04).ok
    assert not make(computed=2.06).ok
    assert make(computed=2.08, tolerance_kind="relative").ok
    assert make(computed=2.08, tolerance_kind="relative").difference == pytest.approx(0.04)


@pytest.mark.parametrize("computed", [float("nan"), float("inf")])
def test_a_case_without_a_number_is_never_good(computed):
    assert not make(computed=computed, tolerance=1e9).ok


@pytest.mark.parametrize(
    "changes",
    [
        {"case_id": ""},
        {"source": ""},
        {"published": float("nan")},
        {"tolerance": -1.0},
        {"tolerance_kind": "about"},
        {"published": 0.0, "tolerance_kind": "relative"},
    ],
)
def test_a_case_that_cannot_be_judged_is_refused(changes):
    with pytest.raises(ValueError):  # noqa: PT011 - any reason
        make(**changes)
