"""Quantiles and intervals of samples against scipy and numpy, which are general-purpose references."""

import math

import numpy as np
import pytest
from scipy import special, stats

from plumbhook.planning.statistics import beta_quantile, quantiles, regularised_beta, share_interval


@pytest.mark.parametrize(
    ("counted", "of"), [(0, 10), (1, 10), (10, 10), (3, 1000), (150, 100_000), (999_990, 1_000_000)]
)
@pytest.mark.parametrize("confidence", [0.90, 0.95, 0.999])
def test_the_interval_of_a_share_is_that_of_clopper_and_pearson(counted, of, confidence):
    exact = stats.binomtest(counted, of).proportion_ci(confidence, method="exact")
    low, high = share_interval(counted, of, confidence)
    assert low == pytest.approx(exact.low, rel=1e-8, abs=1e-15)
    assert high == pytest.approx(exact.high, rel=1e-8)


def test_none_of_n_gives_the_rule_of_three():
    # 1 - 0.025^(1/n); for one-sided 95 % the textbook "rule of three" 3/n.
    assert share_interval(0, 1000)[1] == pytest.approx(1.0 - 0.025 ** (1.0 / 1000.0), rel=1e-12)
    assert share_interval(0, 1000, 0.90)[1] == pytest.approx(3.0 / 1000.0, rel=5e-3)


def test_no_sample_tells_nothing():
    assert share_interval(0, 0) == (0.0, 1.0)


@pytest.mark.parametrize(("counted", "of"), [(-1, 10), (11, 10)])
def test_a_count_that_is_no_share_is_refused(counted, of):
    with pytest.raises(ValueError, match="no share"):
        share_interval(counted, of)


@pytest.mark.parametrize(("a", "b"), [(0.5, 0.5), (2.0, 5.0), (101.0, 99_900.0), (3.0, 1.0)])
@pytest.mark.parametrize("x", [0.0, 1e-4, 0.3, 0.9, 1.0])
def test_the_beta_distribution_is_that_of_scipy(a, b, x):
    assert regularised_beta(x, a, b) == pytest.approx(special.betainc(a, b, x), rel=1e-9, abs=1e-12)
    assert beta_quantile(0.3, a, b) == pytest.approx(special.betaincinv(a, b, 0.3), rel=1e-8)


def test_quantiles_of_a_normal_sample_are_those_of_its_tables():
    column = np.random.default_rng(3).standard_normal(200_000)
    for level, found in zip(
        (0.05, 0.5, 0.95, 0.999), quantiles(column, (0.05, 0.5, 0.95, 0.999)), strict=True
    ):
        density = stats.norm.pdf(stats.norm.ppf(level))
        error = math.sqrt(level * (1.0 - level) / len(column)) / density
        assert abs(found - stats.norm.ppf(level)) < 4.0 * error


def test_quantiles_interpolate_as_numpy_does():
    column = np.random.default_rng(1).random(37)
    levels = (0.0, 0.05, 0.5, 0.95, 0.999, 1.0)
    assert quantiles(column, levels) == pytest.approx(np.quantile(column, levels), rel=1e-14)


def test_a_sample_without_an_answer_counts_as_the_worst():
    column = np.array([1.0, 2.0, math.nan, 3.0])
    assert quantiles(column, (0.0, 1.0))[0] == 1.0
    assert math.isnan(quantiles(column, (1.0,))[0])
    assert math.isnan(quantiles(np.array([]), (0.5,))[0])


def test_an_infinite_utilisation_is_a_quantile_like_any_other():
    assert quantiles(np.array([1.0, math.inf, math.inf]), (0.9,)) == (math.inf,)
