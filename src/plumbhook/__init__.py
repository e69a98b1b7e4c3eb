"""Plan and check lifts with modular spreader beams.

The public surface is listed in ``__all__`` and documented in ``docs/reference/api.md``. Names are loaded when they are
first used, so that importing the package costs nothing.
"""

from importlib import import_module
from typing import Any

__all__ = [
    "arrangement_drawing_svg",
    "assess",
    "equilibrium",
    "example",
    "level_load",
    "lift_plan_pdf",
    "load",
    "restore",
    "save",
    "table",
    "take_off",
    "tolerance_study",
    "trial_lift_card",
    "trial_lift_result",
]


def __getattr__(name: str) -> Any:  # noqa: ANN401 - PEP 562
    if name in __all__:
        return getattr(import_module("plumbhook.api"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
