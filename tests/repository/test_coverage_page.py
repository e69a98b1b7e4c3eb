"""The page of coverage: every clause of the package once, with its uses; nothing both implemented and not."""

from dataclasses import replace
from pathlib import Path

import pytest

from docs_pages import coverage
from plumbhook.checks.asme_bth_1.pins import PLATE_TENSION
from plumbhook.checks.rated_load import RATED_LOAD
from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.verification import VerificationCase

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def uses():
    return coverage.implemented()


def test_no_clause_is_implemented_and_listed_as_not_implemented(uses):
    assert coverage.contradictions(uses, coverage.not_implemented()) == []


@pytest.mark.parametrize(
    ("document", "clause", "caught"),
    [
        ("ASME BTH-1", "3-3.3", True),
        ("ASME BTH-1", "3-3.2", False),
        ("ASME BTH-1", "all", True),
        ("ASME BTH-1", "3-3.2 and 3-3.3", True),
        ("EN 1993-1-8", "Table 3.10", True),
        ("EN 1993-1-8", "Table 3.1", False),
        ("EN 1993-1-9", "all", False),
    ],
)
def test_a_clause_in_both_lists_is_caught(uses, document, clause, caught):
    row = coverage.Absent(document, clause, "what", "why")
    assert bool(coverage.contradictions(uses, [row])) is caught


def test_every_reason_is_given_and_no_clause_is_listed_twice():
    rows = coverage.not_implemented()
    assert all(row.document and row.clause and row.what and row.because for row in rows)
    assert len({(row.document, row.clause) for row in rows}) == len(rows)


def test_a_clause_names_the_functions_that_use_it(uses):
    assert "checks.rated_load: rated_load_check" in uses[RATED_LOAD]
    assert any(use.startswith("checks.asme_bth_1.pins: ") for use in uses[PLATE_TENSION])


def test_clauses_of_rule_packs_are_covered(uses):
    limit = Clause("LOLER 1998", "", "regulation 9(3)(a)(i)")
    assert "rule pack united-kingdom: limit" in uses[limit]


def test_a_case_counts_for_a_clause_when_it_names_the_document_and_the_place():
    case = VerificationCase(
        case_id="a.b",
        title="t",
        source="ASME BTH-1:2014 3-3.3.1",
        quality=SourceQuality.PUBLISHED,
        published=1.0,
        computed=1.0,
        unit="1",
        tolerance=0.1,
        tolerance_kind="absolute",
    )
    elsewhere = replace(case, source="EN 1993-1-8:2005 3-3.3.1")
    longer = replace(case, source="ASME BTH-10 3-3.3.1")
    text = coverage.page_of(
        {PLATE_TENSION: frozenset({"checks.asme_bth_1.pins: tension_N"})}, (), [case, elsewhere, longer], {}
    )
    row = next(line for line in text.splitlines() if line.startswith("| 2014, 3-3.3.1, eq. (3-45)"))
    assert row == "| 2014, 3-3.3.1, eq. (3-45) | published | `checks.asme_bth_1.pins`: tension_N | 1 |"


def test_tests_are_found_by_what_they_import():
    found = coverage.tests_of_modules(ROOT / "tests")
    assert "test_coverage_page" in found["plumbhook.checks.rated_load"]


def test_the_page_can_be_read():
    text = (ROOT / "docs" / "coverage.md").read_text(encoding="utf-8")
    assert len(text.encode()) < 150_000
    assert "## Not implemented" in text
