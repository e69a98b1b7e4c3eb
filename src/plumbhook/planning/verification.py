"""Every published case in the package, recomputed."""

from __future__ import annotations

from plumbhook.checks.verification import checks_cases
from plumbhook.core.verification import VerificationCase
from plumbhook.crane.verification import crane_cases
from plumbhook.model.solids_verification import solids_cases
from plumbhook.model.verification import load_cases
from plumbhook.statics.verification import statics_cases


def all_cases() -> tuple[VerificationCase, ...]:
    """Cases of load, solids, statics, checks and crane, each with its source, published and computed value."""
    return (*load_cases(), *solids_cases(), *statics_cases(), *checks_cases(), *crane_cases())
