"""A strut of unlike pieces with springs in its joints: against integration, laws, and what must be refused."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from struts import EI, LENGTHS, critical, integrated_moments, uneven

from plumbhook.core.errors import InputError
from plumbhook.statics.beam_column import (
    BeamColumn,
    critical_load_N,
    critical_loads_below,
    parabolic_bow,
    solve,
    stations_m,
)
from plumbhook.statics.beam_column import closed_forms as exact
from plumbhook.statics.beam_column.capacity import largest_compression_N
from plumbhook.statics.beam_column.resultant import largest_resultant

STRUT = uneven()
CRITICAL = critical(STRUT)
GRID = np.linspace(0.0, 1.0, 4001)


@pytest.mark.parametrize("ratio", [0.02, 0.3, 0.7, 0.95])
def test_moments_at_every_joint_are_those_of_an_integration_along_the_strut(ratio):
    force = ratio * CRITICAL
    assert solve(STRUT, force).node_moment_Nm == pytest.approx(
        integrated_moments(STRUT, force), rel=2e-9 / (1.0 - ratio)
    )


@pytest.mark.parametrize("ratio", [0.0, 1e-7, 0.1, 0.6, 0.97])
@pytest.mark.parametrize("sine", [0.0, 0.003])
def test_the_largest_moment_within_the_pieces_is_found(ratio, sine):
    bent = solve(uneven(sine_bow_m=sine), ratio * CRITICAL)
    sampled = np.abs(bent.moment_Nm(GRID[:, None])).max()
    found, place = bent.largest_moment()
    assert found >= sampled * (1.0 - 1e-12)
    assert found == pytest.approx(sampled, rel=1e-6)
    piece = np.searchsorted(stations_m(LENGTHS)[1:], place)
    share = (place - stations_m(LENGTHS)[piece]) / LENGTHS[piece]
    assert abs(bent.moment_Nm(np.full(4, share))[piece]) == pytest.approx(found, rel=1e-9)


def test_node_values_alone_would_miss_the_largest_moment():
    bent = solve(uneven(), 0.5 * CRITICAL)
    assert np.abs(bent.node_moment_Nm).max() < 0.999 * bent.largest_moment()[0]


def test_a_sagging_strut_held_up_at_its_ends_is_searched_on_both_sides():
    hogging = uneven(line_load_N_per_m=-900.0, joint_load_N=0.0, end_moment_Nm=-300.0, sine_bow_m=0.0)
    bent = solve(hogging, 0.4 * CRITICAL)
    sampled = np.abs(bent.moment_Nm(GRID[:, None])).max()
    assert bent.largest_moment()[0] == pytest.approx(sampled, rel=1e-6)


@pytest.mark.parametrize("ratio", [0.01, 0.5, 0.95])
def test_moment_is_first_order_plus_compression_times_the_whole_offset(ratio):
    """Deflections come from curvature, moments from the joint system: both must say the same of the same strut."""
    force = ratio * CRITICAL
    bent, straight = solve(STRUT, force), solve(STRUT, 0.0)
    at = stations_m(LENGTHS)
    share = at / at[-1]
    offsets = np.concatenate([[0.0], STRUT.joint_offset_m, [0.0]]) + STRUT.sine_bow_m * np.sin(np.pi * share)
    ends = force * (STRUT.end_eccentricity_m[0] * (1.0 - share) + STRUT.end_eccentricity_m[1] * share)
    whole = straight.node_moment_Nm + ends + force * (offsets + bent.joint_deflection_m())
    assert bent.node_moment_Nm == pytest.approx(whole, rel=1e-10)


def test_shear_is_the_slope_of_the_moment():
    bent, step = solve(STRUT, 0.6 * CRITICAL), 1e-6
    start, end = bent.shear_N()
    ahead = (bent.moment_Nm(np.array(step)) - bent.start_moment_Nm) / (step * LENGTHS)
    behind = (bent.end_moment_Nm - bent.moment_Nm(np.array(1.0 - step))) / (step * LENGTHS)
    assert start == pytest.approx(ahead, rel=1e-4)
    assert end == pytest.approx(behind, rel=1e-4)


def test_turned_end_for_end_it_is_the_same_strut():
    turned = BeamColumn.of(
        LENGTHS[::-1], EI[::-1], line_load_N_per_m=STRUT.line_load_N_per_m[::-1],
        splice_Nm_per_rad=STRUT.splice_Nm_per_rad[::-1], joint_load_N=STRUT.joint_load_N[::-1],
        joint_offset_m=STRUT.joint_offset_m[::-1], piece_rise_m=STRUT.piece_rise_m[::-1],
        sine_bow_m=STRUT.sine_bow_m, end_eccentricity_m=STRUT.end_eccentricity_m[::-1],
        end_moment_Nm=STRUT.end_moment_Nm[::-1],
    )  # fmt: skip
    force = 0.7 * CRITICAL
    assert solve(turned, force).node_moment_Nm[::-1] == pytest.approx(
        solve(STRUT, force).node_moment_Nm, rel=1e-11
    )
    assert critical(turned) == pytest.approx(CRITICAL, rel=1e-13)


def test_a_straight_strut_in_a_batch_does_not_straighten_the_others():
    force = 0.5 * CRITICAL
    together = solve(uneven(sine_bow_m=[0.0, 0.003, -0.002]), force)
    for place, bow in enumerate((0.0, 0.003, -0.002)):
        alone = solve(uneven(sine_bow_m=bow), force)
        assert together.node_moment_Nm[:, place] == pytest.approx(alone.node_moment_Nm, rel=1e-13)


def test_a_batch_gives_what_its_members_give():
    forces = np.array([[0.1], [0.6]]) * CRITICAL
    loads = np.array([400.0, 900.0, 1300.0])[:, None]
    together = solve(uneven(line_load_N_per_m=loads), forces)
    for row, column in itertools.product(range(2), range(3)):
        alone = solve(uneven(line_load_N_per_m=loads[column]), forces[row])
        assert together.node_moment_Nm[:, row, column] == pytest.approx(alone.node_moment_Nm[:, 0], rel=1e-14)
        assert together.largest_moment()[0][row, column] == pytest.approx(
            alone.largest_moment()[0][0], rel=1e-14
        )


@pytest.mark.parametrize(
    "force", [CRITICAL * (1.0 + 1e-9), 1.5 * CRITICAL, 40.0 * CRITICAL, np.nan, np.inf, -1.0]
)
def test_at_and_beyond_the_critical_load_there_is_no_answer(force):
    bent = solve(STRUT, force)
    assert np.isnan(bent.node_moment_Nm).all()
    assert np.isnan(bent.largest_moment()[0])
    assert np.isnan(bent.largest_moment_Nm())
    assert np.isnan(bent.largest_deflection_m())


def test_one_load_beyond_leaves_the_others_their_answers():
    moments = solve(STRUT, np.array([0.5, 1.5, 0.7]) * CRITICAL).largest_moment_Nm()
    assert np.isnan(moments).tolist() == [False, True, False]


def test_just_below_the_critical_load_the_moment_has_no_bound():
    assert (
        solve(STRUT, CRITICAL * (1.0 - 1e-9)).largest_moment_Nm()
        > 1e6 * solve(STRUT, 0.5 * CRITICAL).largest_moment_Nm()
    )


# The stepped strut of the textbook: middle a/L of EI2, ends of EI1; rounded values from memory of Timoshenko and Gere.
STEPPED = {
    0.2: (0.15, 1.47, 2.80, 5.09, 6.98, 8.55),
    0.4: (0.27, 2.40, 4.22, 6.68, 8.19, 9.18),
    0.6: (0.60, 4.50, 6.69, 8.51, 9.24, 9.63),
    0.8: (2.26, 8.59, 9.33, 9.67, 9.78, 9.84),
}
STIFFNESS_RATIOS = (0.01, 0.1, 0.2, 0.4, 0.6, 0.8)


@pytest.mark.parametrize("middle", STEPPED)
@pytest.mark.parametrize("column", range(6))
def test_stepped_struts_buckle_as_tabulated(middle, column):
    ratio = STIFFNESS_RATIOS[column]
    end = 0.5 * (1.0 - middle)
    load = critical(BeamColumn.of([end, middle, end], [ratio, 1.0, ratio]))
    assert load == pytest.approx(STEPPED[middle][column], abs=0.006)
    assert exact.stepped_column_residual(load, ratio, 1.0, 1.0, middle) == pytest.approx(0.0, abs=2e-12)


@pytest.mark.parametrize("splice", [1e5, 1e6, 1e7, 1e9])
def test_a_spring_in_the_middle_lowers_the_critical_load_as_its_equation_says(splice):
    load = critical(BeamColumn.of([3.0, 3.0], 7.5e6, splice_Nm_per_rad=[splice]))
    assert exact.middle_splice_residual(load, 7.5e6, splice, 6.0) == pytest.approx(0.0, abs=1e-12)
    assert load < exact.euler_load_N(7.5e6, 6.0)


def test_a_very_soft_joint_leaves_two_rods_and_a_spring():
    assert critical(BeamColumn.of([3.0, 3.0], 7.5e9, splice_Nm_per_rad=[1e3])) == pytest.approx(
        4.0 * 1e3 / 6.0, rel=1e-4
    )


@settings(max_examples=40)
@given(
    st.lists(st.floats(0.1, 3.0), min_size=1, max_size=6),
    st.lists(st.floats(0.05, 5.0), min_size=6, max_size=6),
    st.lists(st.floats(0.05, 50.0), min_size=5, max_size=5),
)
def test_no_critical_load_is_skipped(lengths, stiffnesses, splices):
    """Held against the eigenvalues of the joint system, found without counting: its determinant changes sign there."""
    n = len(lengths)
    strut = BeamColumn.of(
        lengths, np.array(stiffnesses[:n]) * 1e6, splice_Nm_per_rad=np.array(splices[: n - 1]) * 1e6
    )
    first, second = float(critical_load_N(strut, 1)), float(critical_load_N(strut, 2))
    assert 0.0 < first <= second * (1.0 + 1e-12)
    forces = np.linspace(1e-6, 1.0 - 1e-9, 400) * first
    assert np.isfinite(solve(strut, forces).node_moment_Nm).all()
    assert (critical_loads_below(strut, forces) == 0).all()
    assert critical_loads_below(strut, first * (1.0 + 1e-9)) >= 1
    assert np.isnan(solve(strut, first * (1.0 + 1e-9)).node_moment_Nm).all()


@settings(max_examples=40)
@given(st.floats(0.05, 0.9), st.floats(0.1, 0.9))
def test_more_compression_and_softer_joints_bend_more(ratio, softer):
    force = ratio * critical(uneven(splice_Nm_per_rad=softer * STRUT.splice_Nm_per_rad))
    plain = {"end_eccentricity_m": 0.008, "end_moment_Nm": 0.0}
    stiff, soft = uneven(**plain), uneven(**plain, splice_Nm_per_rad=softer * STRUT.splice_Nm_per_rad)
    assert solve(soft, force).largest_moment_Nm() > solve(stiff, force).largest_moment_Nm()
    assert solve(stiff, 1.01 * force).largest_moment_Nm() > solve(stiff, force).largest_moment_Nm()


def test_two_planes_of_a_round_tube_add_as_vectors():
    vertical, lateral = (
        solve(uneven(), 0.5 * CRITICAL),
        solve(uneven(line_load_N_per_m=300.0), 0.5 * CRITICAL),
    )
    sampled = np.hypot(vertical.moment_Nm(GRID[:, None]), lateral.moment_Nm(GRID[:, None])).max()
    amount, place = largest_resultant(vertical, lateral)
    assert amount == pytest.approx(sampled, rel=1e-7)
    assert amount >= sampled * (1.0 - 1e-12)
    assert 0.0 < place < LENGTHS.sum()
    alone = solve(uneven(line_load_N_per_m=0.0, joint_load_N=0.0, joint_offset_m=0.0, piece_rise_m=0.0, sine_bow_m=0.0,
                         end_eccentricity_m=0.0, end_moment_Nm=0.0), 0.5 * CRITICAL)  # fmt: skip
    assert largest_resultant(vertical, alone)[0] == pytest.approx(vertical.largest_moment()[0], rel=1e-10)
    with pytest.raises(ValueError, match="same pieces"):
        largest_resultant(vertical, solve(BeamColumn.of([1.0], 1e6), 1.0))


def test_the_largest_force_of_a_rule_is_found_for_every_place_of_a_chart():
    spans = np.linspace(2.0, 12.0, 7)[:, None]
    lengths = spans[..., None] * np.array([0.1, 0.5, 0.3, 0.1])
    strut = BeamColumn.of(lengths, 7.5e6, line_load_N_per_m=700.0, end_eccentricity_m=[[[0.01, 0.01]]])
    bound = critical_load_N(strut) * np.ones((1, 5))
    yields = np.linspace(40e3, 120e3, 5)

    def use(force):
        return force / 2.3e6 + solve(strut, force).largest_moment_Nm() / yields

    found = largest_compression_N(use, bound)
    assert use(found) == pytest.approx(np.ones((7, 5)), rel=1e-9)
    assert (np.diff(found, axis=0) < 0.0).all()
    assert (np.diff(found, axis=1) > 0.0).all()


def test_where_the_own_weight_is_too_much_nothing_may_be_carried():
    assert largest_compression_N(lambda force: 1.2 + force, [5.0]) == pytest.approx([0.0])
    assert np.isnan(largest_compression_N(lambda force: np.nan * force, [5.0])).all()


def test_where_nothing_but_buckling_limits_the_bound_is_the_answer():
    assert largest_compression_N(lambda force: 0.0 * force, [5.0]) == pytest.approx([5.0], rel=1e-8)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"line_load_N_per_m": [np.nan] * 4}, "transverse load"),
        ({"splice_Nm_per_rad": [1.0, 0.0, 1.0]}, "every joint must be a positive number"),
        ({"splice_Nm_per_rad": [1.0, np.nan, 1.0]}, "every joint must be a positive number"),
        ({"joint_load_N": [1.0, 2.0]}, "3 values are needed along the strut and 2 are given"),
        ({"sine_bow_m": np.inf}, "bow"),
    ],
)
def test_a_strut_without_its_numbers_is_refused(changes, words):
    with pytest.raises(InputError, match=words):
        uneven(**changes)


def test_every_fault_is_named_at_once():
    with pytest.raises(InputError) as error:
        BeamColumn.of([1.0, -1.0], [0.0, 1.0], end_eccentricity_m=np.nan)
    assert len(error.value.problems) == 3


def test_a_bow_of_straight_chords_comes_near_the_curved_one():
    curved_offsets, rises = parabolic_bow(LENGTHS, 0.01)
    force = 0.5 * CRITICAL
    curved = solve(uneven(joint_offset_m=curved_offsets, piece_rise_m=rises), force).largest_moment()[0]
    chords = solve(uneven(joint_offset_m=curved_offsets, piece_rise_m=0.0), force).largest_moment()[0]
    assert chords < curved < 1.2 * chords


def test_loads_times_a_factor_leave_the_shape():
    doubled = STRUT.with_loads_times(2.0)
    assert doubled.line_load_N_per_m == pytest.approx(2.0 * STRUT.line_load_N_per_m)
    assert doubled.joint_offset_m == pytest.approx(STRUT.joint_offset_m)
    assert solve(doubled, 0.0).node_moment_Nm == pytest.approx(2.0 * solve(STRUT, 0.0).node_moment_Nm)
