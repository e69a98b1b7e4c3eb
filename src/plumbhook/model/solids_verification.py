"""Published cases of volume, centroid and inertia, computed by the functions of this layer.

The cases are data (``data/verification/model_solids.json``); nothing here knows an answer.
"""

from __future__ import annotations

import numpy as np

from plumbhook.core.verification import VerificationCase, cases_of_data
from plumbhook.model.mass_properties import centre_of_all, mesh_mass_properties

_FACES = np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]])


def solids_cases() -> tuple[VerificationCase, ...]:
    """Every published case of solids with the value computed now."""
    return cases_of_data(
        "model_solids.json", {"tetrahedron": _tetrahedron, "centre_on_a_line": _centre_on_a_line}
    )


def _tetrahedron(corners: str, quantity: str) -> float:
    """One number of the mass properties of a tetrahedron, named as ``centroid 0`` or ``inertia 0 1``."""
    points = np.array([[float(word) for word in row.split()] for row in corners.split(";")])
    found = mesh_mass_properties(points, _FACES)
    name, *indices = quantity.split()
    numbers = np.array(found.centroid_m if name == "centroid" else found.inertia_m5)
    return float(numbers[tuple(int(index) for index in indices)])


def _centre_on_a_line(weights: str, places: str) -> float:
    """Centre of gravity of weights on a line, m."""
    masses = [float(word) for word in weights.split()]
    return centre_of_all(masses, [(float(word), 0.0, 0.0) for word in places.split()])[0]
