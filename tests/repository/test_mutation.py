"""The mutation run: which wrong changes are made, which are not, and what the page says of them."""

import ast

import pytest

from mutation.covering import Tree
from mutation.page import key, page
from mutation.sites import mutants

SOURCE = '''
"""Text of 1 + 1."""
Kind = float | int
LIMIT = 0.5

def ratio(a: float | None, b: float = 2.0) -> float:
    """Half of 3 < 4."""
    if a is None or not b > 0.0:
        raise ValueError(f"b is {1 + 1}")
    return max(a, LIMIT) / b
'''


def changes(source):
    return {(mutant.before, mutant.after) for mutant in mutants(source)}


@pytest.mark.parametrize(
    "change",
    [
        ("max(a, LIMIT) / b", "max(a, LIMIT) * b"),
        ("max(a, LIMIT)", "min(a, LIMIT)"),
        ("b > 0.0", "b >= 0.0"),
        ("b > 0.0", "b < 0.0"),
        ("not b > 0.0", "b > 0.0"),
        ("a is None", "a is not None"),
        ("a is None or not b > 0.0", "a is None and (not b > 0.0)"),
        ("0.5", "0.505"),
        ("raise ValueError(f'b is {1 + 1}')", "pass"),
    ],
)
def test_a_change_that_a_test_of_the_code_should_notice_is_made(change):
    assert change in changes(SOURCE)


def test_text_docstrings_and_type_hints_are_left_alone():
    assert not [before for before, _ in changes(SOURCE) if "|" in before or before in {"1 + 1", "3 < 4", "1"}]


def test_each_mutant_differs_from_the_module_in_one_place_and_is_valid_code():
    whole = ast.unparse(ast.parse(SOURCE)).splitlines()
    for mutant in mutants(SOURCE):
        changed = ast.unparse(ast.parse(mutant.source)).splitlines()
        assert sum(a != b for a, b in zip(whole, changed, strict=True)) == 1, mutant


def test_a_missing_number_becomes_zero_and_a_tolerance_grows_beyond_notice():
    assert ("math.nan", "0.0") in changes("x = math.nan")
    assert changes("near = 1e-12") == {("1e-12", "1e-06")}


def test_a_module_is_covered_by_the_tests_that_import_it(pytestconfig):
    covering = Tree(pytestconfig.rootpath).covering("plumbhook.checks.two_points")
    assert covering.direct == ("tests/checks/test_two_points_and_margins.py",)
    assert "two_point_hang_check" in covering.builders


def test_the_page_counts_what_is_killed_and_what_is_explained():
    survivor = {"line": 7, "before": "a < b", "after": "a <= b"}
    results = {
        "date": "2026-01-01",
        "seed": 1,
        "sample": 4,
        "modules": {"plumbhook.x": {"sites": 9, "sampled": 4, "survivors": [survivor]}},
    }
    text, unexplained = page(results, {})
    assert "3 of 4 mutants killed (75.0 %)" in text
    assert unexplained == 1
    text, unexplained = page(results, {key("plumbhook.x", survivor): "both give the same"})
    assert "both give the same" in text
    assert unexplained == 0
