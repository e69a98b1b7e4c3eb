"""Published problems of statics against what the package computes; each case names its source."""

import pytest

from plumbhook.core.check import SourceQuality
from plumbhook.statics.verification import statics_cases

CASES = statics_cases()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.case_id)
def test_a_published_answer_is_met(case):
    assert case.ok, f"{case.source}: {case.published} {case.unit} published, {case.computed} computed"


def test_ids_are_unique_and_every_problem_of_the_collection_is_there():
    assert len({case.case_id for case in CASES}) == len(CASES)
    rows = {case.case_id.split(".")[1] for case in CASES}
    textbook = {"s1", "s3", "s4", "s6", "s8", "s10", "s11", "s12", "s13", "s14", "s16", "s19", "s21"}
    assert textbook <= rows
    assert {"s22-at-five-degrees", "s22-at-half-a-degree", "scaffolds", "mobile", "stability"} <= rows


def test_what_is_from_memory_or_our_own_is_not_called_published():
    by_row = {case.case_id.split(".")[1]: case.quality for case in CASES}
    assert by_row["s14"] is SourceQuality.FROM_MEMORY
    assert by_row["four-leg-bridle-5-mm"] is SourceQuality.OWN_DERIVATION
    assert by_row["scaffolds"] is SourceQuality.OWN_DERIVATION
    assert by_row["s1"] is SourceQuality.PUBLISHED


def test_a_case_can_fail():
    """Half a unit of the last printed digit is a real bar: the book's rounded 711.0 N is not 712."""
    case = next(case for case in CASES if case.case_id.startswith("statics.s16"))
    assert abs(case.computed - 712.0) > case.tolerance
