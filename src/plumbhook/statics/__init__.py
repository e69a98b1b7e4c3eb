"""Elastic equilibrium of a rig in three dimensions, with verdict and proof."""

from plumbhook.statics._json import equilibrium_json
from plumbhook.statics._solve import solve
from plumbhook.statics.proof import Proof, prove
from plumbhook.statics.result import (
    AssembledPosture,
    Equilibrium,
    EquilibriumStatus,
    RestAfterKick,
    StiffnessModes,
)

__all__ = [
    "AssembledPosture",
    "Equilibrium",
    "EquilibriumStatus",
    "Proof",
    "RestAfterKick",
    "StiffnessModes",
    "equilibrium_json",
    "prove",
    "solve",
]
