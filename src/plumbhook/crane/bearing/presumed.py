"""Presumed bearing values by kind of ground: a first figure where nobody has investigated it, never a report."""

from __future__ import annotations

from types import MappingProxyType

from plumbhook.core.errors import InputError

# Lower ends of the ranges of the table of presumed allowable values of BS 8004, from memory; loose gravel, loose sand
# and soft clay have none here: such ground needs an investigation.
PRESUMED_Pa = MappingProxyType(
    {
        "dense gravel": 600e3,
        "medium dense gravel": 200e3,
        "compact sand": 300e3,
        "medium sand": 100e3,
        "very stiff clay": 300e3,
        "stiff clay": 150e3,
        "firm clay": 75e3,
    }
)


def presumed_bearing_Pa(ground: str) -> float:
    """Presumed allowable bearing pressure, Pa: the lower end of its range.

    Args:
        ground: kind of ground, a key of ``PRESUMED_Pa``.

    Raises:
        InputError: the kind has no presumed value.

    Source: values in the style of BS 8004, from memory; to be confirmed by those responsible for the ground.
    """
    if ground not in PRESUMED_Pa:
        raise InputError.one(
            f"there is no presumed value for {ground!r}; have the ground investigated, or choose one of "
            f"{', '.join(PRESUMED_Pa)}",
            field="ground.presumed",
        )
    return PRESUMED_Pa[ground]
