"""SI 1998/2307 regulation 9(3): how long a thorough examination counts where no scheme says otherwise."""

from __future__ import annotations

from plumbhook.core.check import Clause

EXAMINATION = Clause("SI 1998/2307 (LOLER)", "1998", "reg. 9(3)(a)")


def examination_months(*, accessory: bool, lifts_persons: bool) -> int:
    """Months between thorough examinations: 6 for accessories and for lifting persons, else 12.

    Source: SI 1998/2307 reg. 9(3)(a)(i) and (ii). An examination scheme replaces both, it does not shorten them.
    """
    return 6 if accessory or lifts_persons else 12
