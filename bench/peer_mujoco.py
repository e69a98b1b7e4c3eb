"""A general multi-body engine on the same rigs: damped in time until they hang at rest.

Knows the rig graph only. The rest depends on no inertia and no damping, so both are chosen for a quick settling.
"""

from __future__ import annotations

import importlib.util
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from plumbhook.model.rig_graph import Body, ElementType, RigGraph

if TYPE_CHECKING:
    import mujoco

NAME = "MuJoCo, damped to rest"
WORDS = (
    "Knows the rig graph only and swings in time with damping until nothing moves. It has no pin of a given",
    "stiffness, so the frame of pinned struts is left out.",
)

TIME_STEP_S = 5e-4
LONGEST_S = 80.0
STILL = 1e-9
DAMPING_PER_S = 1.5


def missing() -> str:
    """Why the engine cannot be used here; empty if it can."""
    if importlib.util.find_spec("mujoco") is None:
        return "MuJoCo (dependency group `bench`) is not installed."
    return ""


def can_do(graph: RigGraph) -> bool:
    """Pins of a given stiffness and bodies without mass have no counterpart there."""
    return all(element.type is ElementType.SLING for element in graph.elements) and all(
        body.mass_kg > 0.0 for body in graph.bodies
    )


def _numbers(values: object) -> str:
    return " ".join(f"{float(value):.17g}" for value in values)  # type: ignore[attr-defined]


def _body(body: Body, gyration_m: float) -> str:
    columns = np.array(body.start.rotation_rows).T
    inertia = body.mass_kg * gyration_m**2
    sites = "".join(
        f'<site name="{body.name}.{point.name}" pos="{_numbers(point.position_m)}"/>'
        for point in body.points_m
    )
    return (
        f'<body name="{body.name}" pos="{_numbers(body.start.origin_m)}" xyaxes="{_numbers(columns[:2].ravel())}">'
        f'<freejoint/><inertial pos="{_numbers(body.cog_m)}" mass="{body.mass_kg:.17g}" '
        f'diaginertia="{_numbers([inertia] * 3)}"/>{sites}</body>'
    )


def model_of(graph: RigGraph) -> mujoco.MjModel:
    """The rig with slings as tendons that are springs beyond their length."""
    import mujoco

    lengths = [element.unstretched_length_m or 0.0 for element in graph.elements]
    gyration = 0.3 * sum(lengths) / len(lengths)
    hooks = "".join(f'<site name="hook.{h.name}" pos="{_numbers(h.position_m)}"/>' for h in graph.hooks_m)
    bodies = "".join(_body(body, gyration) for body in graph.bodies)
    tendons = "".join(
        f'<spatial name="{element.name}" springlength="0 {length:.17g}" '
        f'stiffness="{(element.EA_N or 0.0) / length:.17g}"><site site="{element.from_ref}"/>'
        f'<site site="{element.to_ref}"/></spatial>'
        for element, length in zip(graph.elements, lengths, strict=True)
    )
    model = mujoco.MjModel.from_xml_string(
        f'<mujoco><option gravity="0 0 {-graph.gravity_m_s2:.17g}" timestep="{TIME_STEP_S}" '
        f'integrator="implicitfast"/><worldbody>{hooks}{bodies}</worldbody><tendon>{tendons}</tendon></mujoco>'
    )
    for number, body in enumerate(graph.bodies):
        inertia = body.mass_kg * gyration**2
        model.dof_damping[6 * number : 6 * number + 3] = DAMPING_PER_S * body.mass_kg
        model.dof_damping[6 * number + 3 : 6 * number + 6] = DAMPING_PER_S * inertia
    return model


def settled(model: mujoco.MjModel) -> np.ndarray:
    """Tensions (N) by element once nothing moves."""
    import mujoco

    data = mujoco.MjData(model)
    steps = round(LONGEST_S / TIME_STEP_S)
    for number in range(steps):
        mujoco.mj_step(model, data)
        if number % 500 == 0 and np.abs(data.qvel).max() < STILL:
            break
    mujoco.mj_forward(model, data)
    stretch = data.ten_length - model.tendon_lengthspring[:, 1]
    return model.tendon_stiffness * np.maximum(stretch, 0.0)


@dataclass
class Model:
    """A rig as the engine's model."""

    model: mujoco.MjModel

    def rest(self) -> np.ndarray:
        """Tensions (N) by element at rest."""
        return settled(self.model)


def prepared(graph: RigGraph) -> Model:
    """The rig as drawn, ready for :meth:`Model.rest`."""
    return Model(model_of(graph))
