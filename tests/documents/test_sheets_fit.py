"""The table of connections on the rig sheet: what fits, what does not, what nobody knows."""

from dataclasses import replace

import pytest
from tests.scenarios.variants import assessed

from plumbhook.documents.sheets.rig import rig
from plumbhook.planning.assessment import FitRow


@pytest.fixture(scope="module")
def assessment():
    return assessed("hallowmere-viaduct")


def test_every_connection_is_in_one_row_and_like_ones_share_it(assessment):
    table = rig(assessment)["fit"]
    named = [where for row in table for where in row["where"].split(", ")]
    assert len(table) < len(assessment.fit_chain)
    assert set(named) == {row.where.removeprefix("load.") for row in assessment.fit_chain}
    assert {row["state"] for row in table} == {"PASS"}


@pytest.mark.parametrize(
    ("verdict", "state"), [("fits", "PASS"), ("does not fit", "FAIL"), ("unknown", "NOT_EVALUATED")]
)
def test_a_verdict_is_never_shown_better_than_it_is(assessment, verdict, state):
    row = FitRow("fit.X.1", "X", "shackle", "lug", verdict, ("pin 50 mm in hole 52 mm",), ("jaw",), ())
    (shown,) = rig(replace(assessment, fit_chain=(row,)))["fit"]
    assert shown["state"] == state
    assert shown["sizes"] == "pin 50 mm in hole 52 mm; not known: jaw"
