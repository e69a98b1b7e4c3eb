"""Chi-square in closed form against a general-purpose statistics library."""

import pytest
from scipy import stats

from plumbhook.core.chi_square import chance_beyond, chance_of_sigmas, limit_of


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 5, 8, 11])
@pytest.mark.parametrize("size", [0.0, 0.1, 1.0, 5.0, 20.0, 80.0])
def test_the_chance_of_a_larger_chi_square(freedom: int, size: float) -> None:
    assert chance_beyond(size, freedom) == pytest.approx(stats.chi2.sf(size, freedom), rel=1e-10, abs=1e-300)


@pytest.mark.parametrize("freedom", [1, 2, 5])
def test_the_limit_is_the_chance_turned_round(freedom: int) -> None:
    assert limit_of(0.0027, freedom) == pytest.approx(stats.chi2.isf(0.0027, freedom), rel=1e-10)


def test_one_degree_of_freedom_is_a_count_of_sigmas() -> None:
    assert chance_of_sigmas(3.0) == pytest.approx(chance_beyond(9.0, 1))
    assert limit_of(chance_of_sigmas(3.0), 1) == pytest.approx(9.0)


@pytest.mark.parametrize(("size", "freedom"), [(-1.0, 1), (1.0, 0)])
def test_what_is_no_chi_square_is_refused(size: float, freedom: int) -> None:
    with pytest.raises(ValueError, match="chi-square"):
        chance_beyond(size, freedom)
    with pytest.raises(ValueError, match="chance"):
        limit_of(0.0, 1)
