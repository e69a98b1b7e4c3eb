"""Closed forms of hand calculation: shares, sling forces, strut compression, tilt and stability.

They assume rigid, equal lines and small or no tilt; the solver of :mod:`plumbhook.statics` assumes neither.
Their use is the second method beside it. Angles in rad. ``height_m`` is the height of a top triangle: from
the ends of the strut (or the lift points of direct slings) up to the hook. ``mass_ratio`` is the mass of the
strut over the mass of the load.

Sources: elementary statics (moments about a point) and common practice in lifting, except where a function
names one.
"""

from __future__ import annotations

import math

Plan = tuple[float, float]


def lever_shares(span_m: float, position_m: float) -> tuple[float, float]:
    """Shares of two vertical lines by the lever rule.

    Args:
        span_m: distance between the lines (m), above zero.
        position_m: distance of the centre of gravity from the first line towards the second (m).

    Returns:
        Shares of the first and second line, which sum to 1; negative where the centre of gravity lies beyond
        the other line, so that a line would have to push.

    Raises:
        ValueError: a number is not finite or out of its range.
    """
    _positive(span_m=span_m)
    _finite(position_m=position_m)
    second = position_m / span_m
    return 1.0 - second, second


def product_shares(
    span_x_m: float, span_y_m: float, offset_x_m: float, offset_y_m: float
) -> tuple[float, float, float, float]:
    """Shares of four points at the corners of a rectangle: the product of two lever rules.

    It is the only share that struts over a strut or a frame of four pin-jointed struts can carry. Four lines
    from one hook to a rigid load share otherwise.

    Args:
        span_x_m: side of the rectangle along x (m), above zero.
        span_y_m: side along y (m), above zero.
        offset_x_m: centre of gravity from the centre of the rectangle along x (m).
        offset_y_m: likewise along y (m).

    Returns:
        Shares at (-x, -y), (+x, -y), (+x, +y), (-x, +y), which sum to 1.

    Raises:
        ValueError: a number is not finite or out of its range.
    """
    left, right = lever_shares(span_x_m, 0.5 * span_x_m + offset_x_m)
    near, far = lever_shares(span_y_m, 0.5 * span_y_m + offset_y_m)
    return left * near, right * near, right * far, left * far


def barycentric_shares(
    first_m: Plan, second_m: Plan, third_m: Plan, cog_m: Plan
) -> tuple[float, float, float]:
    """Shares of three vertical lines: the barycentric coordinates of the centre of gravity in plan.

    Args:
        first_m: position of the first line in plan (m).
        second_m: position of the second line (m).
        third_m: position of the third line (m), not on one line with the others.
        cog_m: position of the centre of gravity (m).

    Returns:
        Shares in the order of the points, which sum to 1; negative where the centre of gravity lies outside.

    Raises:
        ValueError: a number is not finite, or the three points lie on one line.
    """
    (x1, y1), (x2, y2), (x3, y3), (x, y) = first_m, second_m, third_m, cog_m
    _finite(x1=x1, y1=y1, x2=x2, y2=y2, x3=x3, y3=y3, cog_x=x, cog_y=y)
    area = (x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1)
    spread = max(abs(x2 - x1), abs(y2 - y1), abs(x3 - x1), abs(y3 - y1))
    if abs(area) <= 1e-12 * spread**2:
        raise ValueError("the three points lie on one line and do not fix the shares")
    second = ((x - x1) * (y3 - y1) - (x3 - x1) * (y - y1)) / area
    third = ((x2 - x1) * (y - y1) - (x - x1) * (y2 - y1)) / area
    return 1.0 - second - third, second, third


def sling_tension_N(vertical_N: float, length_m: float, height_m: float) -> float:
    """Tension of a straight sling from its vertical share: ``T = V L / h``.

    Args:
        vertical_N: vertical share (N), not negative.
        length_m: length of the sling (m), at least its height.
        height_m: vertical distance between its ends (m), above zero.

    Raises:
        ValueError: a number is not finite or out of its range.
    """
    _not_negative(vertical_N=vertical_N)
    _positive(length_m=length_m, height_m=height_m)
    if length_m < height_m:
        raise ValueError(f"a sling of {length_m:g} m cannot span a height of {height_m:g} m")
    return vertical_N * length_m / height_m


def horizontal_force_N(vertical_N: float, offset_m: float, height_m: float) -> float:
    """Horizontal force of a straight sling from its vertical share: ``H = V x / h``.

    Args:
        vertical_N: vertical share (N), not negative.
        offset_m: horizontal distance between its ends (m), not negative.
        height_m: vertical distance between its ends (m), above zero.

    Raises:
        ValueError: a number is not finite or out of its range.
    """
    _not_negative(vertical_N=vertical_N, offset_m=offset_m)
    _positive(height_m=height_m)
    return vertical_N * offset_m / height_m


def strut_force_N(
    vertical_1_N: float,
    vertical_2_N: float,
    span_m: float,
    height_m: float,
    *,
    strut_weight_N: float = 0.0,
    lean_1_rad: float = 0.0,
    lean_2_rad: float = 0.0,
) -> float:
    """Compression of a single strut with the hook over the centre of gravity of everything below it.

    With ``V_i`` what hangs on end i plus half the strut's own weight, the hook stands ``x_1 = L V_2/(V_1 +
    V_2)`` from end 1, and ``N = V_1 x_1 / h = V_1 V_2 L / ((V_1 + V_2) h)``, the same at both ends. A lower
    sling that leans towards the middle of the load pushes the strut together: plus its vertical share times
    the tangent of the lean.

    Args:
        vertical_1_N: vertical force that hangs on end 1 (N), not negative.
        vertical_2_N: likewise on end 2 (N), not negative.
        span_m: pin to pin length of the strut (m), above zero.
        height_m: height of the hook above the strut (m), above zero.
        strut_weight_N: own weight of the strut (N) if the vertical forces leave it out.
        lean_1_rad: angle of the lower sling at end 1 from the vertical, positive where the strut is longer
            than the load span (the lift point lies nearer to the middle), below a right angle.
        lean_2_rad: likewise at end 2. Where they differ the rig tilts a little; the larger thrust is taken.

    Returns:
        Compression (N); negative is tension.

    Raises:
        ValueError: a number is not finite or out of its range, or nothing hangs on the strut.
    """
    _not_negative(vertical_1_N=vertical_1_N, vertical_2_N=vertical_2_N, strut_weight_N=strut_weight_N)
    _positive(span_m=span_m, height_m=height_m)
    for name, lean in (("lean_1_rad", lean_1_rad), ("lean_2_rad", lean_2_rad)):
        if not abs(lean) < 0.5 * math.pi:
            raise ValueError(f"{name} must be less than a right angle, not {lean!r}")
    first, second = vertical_1_N + 0.5 * strut_weight_N, vertical_2_N + 0.5 * strut_weight_N
    if first + second <= 0.0:
        raise ValueError("nothing hangs on the strut")
    thrust = max(vertical_1_N * math.tan(lean_1_rad), vertical_2_N * math.tan(lean_2_rad))
    return first * second * span_m / ((first + second) * height_m) + thrust


def largest_cog_height_m(height_m: float, mass_ratio: float) -> float:
    """Height of the load's centre of gravity above its lift points at which the rig turns over.

    ``z_m = v (1 + m_T/m_C)`` for one strut below one hook with vertical lower slings, in the plane of the
    strut. Long lower slings add nothing.

    Source: own derivation from the energy of the mechanism; agrees with every row of Table 1 of the
        open-access
    paper s42452-021-04259-3, SN Applied Sciences (2021).

    Args:
        height_m: height v of the hook above the strut (m), above zero.
        mass_ratio: mass of the strut over mass of the load, not negative.

    Raises:
        ValueError: a number is not finite or out of its range.
    """
    _positive(height_m=height_m)
    _not_negative(mass_ratio=mass_ratio)
    return height_m * (1.0 + mass_ratio)


def restoring_height_m(height_m: float, cog_above_points_m: float, mass_ratio: float) -> float:
    """Effective restoring height ``GM = v (1 + m_T/m_C) - z``; the plane is stable only if it is above zero.

    Args:
        height_m: height v of the hook above the strut (m), above zero.
        cog_above_points_m: height z of the load's centre of gravity above its lift points (m), negative
            below.
        mass_ratio: mass of the strut over mass of the load, not negative.

    Raises:
        ValueError: a number is not finite or out of its range.
    """
    _finite(cog_above_points_m=cog_above_points_m)
    return largest_cog_height_m(height_m, mass_ratio) - cog_above_points_m


def tilt_rad(cog_offset_m: float, height_m: float, cog_above_points_m: float, mass_ratio: float) -> float:
    """Tilt of strut and load with the centre of gravity off the hook: ``tan(theta) = e / GM``.

    Equal legs, hook above the middle of the strut, vertical lower slings of equal length, all rigid. With a
    mass ratio of zero it holds for direct slings too, which swing with the load as one body.

    Args:
        cog_offset_m: horizontal distance e of the load's centre of gravity from below the hook, as drawn
            level (m).
        height_m: height v of the hook above the strut (m), above zero.
        cog_above_points_m: height z of the load's centre of gravity above its lift points (m), negative
            below.
        mass_ratio: mass of the strut over mass of the load, not negative.

    Returns:
        Tilt (rad), of the sign of the offset; the end on that side goes down.

    Raises:
        ValueError: a number is out of its range, or the rig is not stable, so that there is no tilt to give.
    """
    _finite(cog_offset_m=cog_offset_m)
    restoring = restoring_height_m(height_m, cog_above_points_m, mass_ratio)
    if restoring <= 0.0:
        raise ValueError("the rig is not stable in this plane: the centre of gravity is too high")
    return math.atan(cog_offset_m / restoring)


def largest_stable_tilt_rad(
    half_span_m: float, height_m: float, mass_ratio: float, top_half_angle_rad: float
) -> float:
    """Tilt at which a sling goes slack for a centre of gravity at the largest height.

    The smaller of ``atan(l / z_m)`` and the half angle of the top slings: top slings that meet in a narrow
    angle lower the limit, wide ones gain nothing.

    Source: Table 1 of the open-access paper s42452-021-04259-3, SN Applied Sciences (2021).

    Args:
        half_span_m: half the distance l between the lower slings (m), above zero.
        height_m: height v of the top triangle (m), above zero.
        mass_ratio: mass of the strut over mass of the load, not negative.
        top_half_angle_rad: angle of the top slings from the vertical (rad), between 0 and a right angle.

    Raises:
        ValueError: a number is not finite or out of its range.
    """
    _positive(half_span_m=half_span_m, top_half_angle_rad=top_half_angle_rad)
    if top_half_angle_rad >= 0.5 * math.pi:
        raise ValueError(f"top_half_angle_rad must be below a right angle, not {top_half_angle_rad!r}")
    limit = largest_cog_height_m(height_m, mass_ratio)
    return min(math.atan(half_span_m / limit), top_half_angle_rad)


def stability_triangle_base_m(
    half_span_m: float, height_m: float, mass_ratio: float, top_half_angle_rad: float
) -> float:
    """Base (m) of the triangle, ``z_m`` high on the lower lift points, that bounds the centre of gravity.

    Arguments, errors and source as :func:`largest_stable_tilt_rad`.
    """
    tilt = largest_stable_tilt_rad(half_span_m, height_m, mass_ratio, top_half_angle_rad)
    return 2.0 * largest_cog_height_m(height_m, mass_ratio) * math.tan(tilt)


def _finite(**values: float) -> None:
    for name, value in values.items():
        if not math.isfinite(value):
            raise ValueError(f"{name} must be finite, not {value!r}")


def _not_negative(**values: float) -> None:
    _finite(**values)
    for name, value in values.items():
        if value < 0.0:
            raise ValueError(f"{name} must not be negative, not {value!r}")


def _positive(**values: float) -> None:
    _finite(**values)
    for name, value in values.items():
        if value <= 0.0:
            raise ValueError(f"{name} must be above zero, not {value!r}")
