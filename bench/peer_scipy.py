"""General minimisers and a root finder of SciPy, given the kernel's own compiled energy and gradient of a rig.

So their times over the kernel's are those of the methods, not of a slower function.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Callable

import numpy as np

from plumbhook.statics._arrays import State
from plumbhook.statics._energy import moved
from plumbhook.statics._postures import lowered
from plumbhook.statics.kernel.drive import Session, all_modes
from plumbhook.statics.kernel.forms import Form
from plumbhook.statics.kernel.problem import Problem

WORDS = (
    "Given the kernel's own compiled energy and gradient, so the ratio is that of the methods. A root finder asks for",
    "balance only and may end where nothing balances, or in an equilibrium that is no rest.",
)


def missing() -> str:
    """Why the library cannot be used here; empty if it can."""
    if importlib.util.find_spec("scipy") is None:
        return "SciPy (dependency group `bench`) is not installed."
    return ""


class Landscape:
    """The compiled energy and gradient of a rig over increments from its drawn, lowered posture."""

    def __init__(self, problem: Problem, form: Form) -> None:
        self.problem = problem
        self.start = lowered(problem.arrays, problem.drawn)
        modes, self.row = all_modes(problem), problem.nominal
        self.session = Session(form, 1, problem, modes, 1)
        self.modes_on = problem.modes_on(modes, self.row)
        self.unit = np.tile([1.0] * 3 + [problem.arrays.size_m] * 3, problem.arrays.n_bodies)
        self.scale = problem.arrays.total_weight_N

    @property
    def zero(self) -> np.ndarray:
        return np.zeros(self.problem.arrays.n_dof)

    def state(self, x: np.ndarray) -> State:
        return moved(self.start, x / self.unit)

    def at(self, x: np.ndarray) -> tuple[float, np.ndarray]:
        """Energy over weight (m) and its gradient by scaled increments."""
        energy, slope = self.session.evaluate(self.row, self.state(x), modes_on=self.modes_on)
        h = 0.5 * (x / self.unit).reshape(-1, 6)[:, 3:]
        out = slope.reshape(-1, 6)
        moment = out[:, 3:]
        across = h[:, [1, 2, 0]] * moment[:, [2, 0, 1]] - h[:, [2, 0, 1]] * moment[:, [1, 2, 0]]
        out[:, 3:] = (moment - across) / (1.0 + (h * h).sum(axis=1))[:, None]
        return energy / self.scale, slope / (self.unit * self.scale)

    def curvature(self, x: np.ndarray) -> np.ndarray:
        """Second derivatives by differences of the gradient."""
        steps = 1e-6 * np.eye(len(x))
        matrix = np.array([(self.at(x + step)[1] - self.at(x - step)[1]) / 2e-6 for step in steps])
        return 0.5 * (matrix + matrix.T)

    def tensions(self, x: np.ndarray) -> np.ndarray:
        return self.session.solve(self.row, self.state(x), limit=0).tension[0]


def by_descent(land: Landscape) -> np.ndarray:
    from scipy.optimize import minimize

    options = {"maxiter": 20_000, "maxfun": 200_000, "ftol": 0.0, "gtol": 1e-9, "maxcor": 30}
    return minimize(land.at, land.zero, jac=True, method="L-BFGS-B", options=options).x


def by_region(land: Landscape) -> np.ndarray:
    from scipy.optimize import minimize

    options = {"gtol": 1e-9, "maxiter": 300}
    return minimize(
        land.at, land.zero, jac=True, hess=land.curvature, method="trust-exact", options=options
    ).x


def by_root(land: Landscape) -> np.ndarray:
    from scipy.optimize import root

    return root(lambda x: land.at(x)[1], land.zero, method="hybr", options={"xtol": 1e-12}).x


METHODS: dict[str, Callable[[Landscape], np.ndarray]] = {
    "SciPy, L-BFGS-B": by_descent,
    "SciPy, trust-exact": by_region,
    "SciPy, root (hybr)": by_root,
}
