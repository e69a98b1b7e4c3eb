"""Torque of the joint bolts and order of the shackles: common practice, no source."""

from __future__ import annotations

import pytest

from plumbhook.checks.assembly import bolt_size, joint_torque_check, shackle_order_check
from plumbhook.core.check import Status
from plumbhook.core.errors import InputError


def torque(bolts: str, stated: float | None, least: float = 240.0):
    return joint_torque_check(
        "t", "s", "torque", joint_bolts=bolts, joint_torque_Nm=stated, least_torque_Nm=least
    )


@pytest.mark.parametrize(
    ("bolts", "stated", "status"),
    [
        ("6 x M20 8.8", 240.0, Status.PASS),
        ("6 x M20 8.8", 239.9, Status.FAIL),
        ("6 x M20 8.8", None, Status.NOT_EVALUATED),
        ("8 x M24 8.8", 480.0, Status.NOT_APPLICABLE),
        ("8 x M24 8.8", None, Status.NOT_EVALUATED),
        ("", 280.0, Status.NOT_EVALUATED),
        ("4 x M20 and 4 x M24", 280.0, Status.NOT_EVALUATED),
    ],
)
def test_m20_joints_are_tightened_to_240_newton_metres_at_least(
    bolts: str, stated: float | None, status: Status
) -> None:
    assert torque(bolts, stated).status is status


def test_a_least_torque_that_makes_no_sense_is_refused() -> None:
    with pytest.raises(InputError):
        torque("6 x M20 8.8", 280.0, least=0.0)


def test_the_size_is_read_from_the_words_of_the_sheet() -> None:
    assert bolt_size("12 x M27 8.8") == "M27"
    assert bolt_size("bolts as supplied") == ""


@pytest.mark.parametrize(
    ("upper", "lower", "status", "attention"),
    [
        (35e3, 17e3, Status.PASS, False),
        (17e3, 17e3, Status.PASS, False),
        (17e3, 35e3, Status.PASS, True),
        (None, 17e3, Status.NOT_EVALUATED, False),
        (17e3, None, Status.NOT_EVALUATED, False),
    ],
)
def test_a_larger_shackle_below_a_smaller_one_gets_attention(
    upper: float | None, lower: float | None, status: Status, attention: bool
) -> None:
    check = shackle_order_check("o", "s", "order", upper_rated_kg=upper, lower_rated_kg=lower)
    assert check.status is status
    assert bool(check.attention) is attention
