"""The public call: what the compiled kernel finds at once is what the reference solver finds, or is left to it."""

from dataclasses import replace

import pytest
from tests.statics.rigs import KINDS, four_leg_bridle, random_rig, random_rigs, two_point_load

from plumbhook.model.rig_graph import support, with_stiffness_factor
from plumbhook.statics import EquilibriumStatus, _solve, solve
from plumbhook.statics.kernel.single import Single


@pytest.fixture
def both(monkeypatch, compiled, interpreted):
    """Solves a rig by the reference and with the compiled kernel at hand; tells whether the kernel's rest was taken."""
    taken = []
    at_once = _solve._Rig.at_once

    def watched(rig, *args, **named):
        found = at_once(rig, *args, **named)
        taken.append(found is not None)
        return found

    monkeypatch.setattr(_solve._Rig, "at_once", watched)

    def solved(graph, start=None):
        taken.clear()
        monkeypatch.setattr(_solve, "chosen_form", lambda: interpreted)
        reference = solve(graph, start=start)
        assert taken == []
        monkeypatch.setattr(_solve, "chosen_form", lambda: compiled)
        return reference, solve(graph, start=start), taken == [True]

    return solved


def check_same(reference, found, limit=1e-9):
    for name in ("status", "message", "neutral_modes", "neutral_motions"):
        assert getattr(found, name) == getattr(reference, name)
    assert set(found.slack_m) == set(reference.slack_m)
    assert found.assembled_posture.in_equilibrium == reference.assembled_posture.in_equilibrium
    largest = max(reference.tensions_N.values())
    for name, tension in reference.tensions_N.items():
        assert found.tensions_N[name] == pytest.approx(tension, rel=0.0, abs=limit * largest)


@pytest.mark.parametrize("kind", KINDS)
def test_random_rigs_of_all_kinds_hang_as_the_reference_says(kind, both):
    for rig in random_rigs(kind, 8, first=400):
        reference, found, by_kernel = both(rig)
        check_same(reference, found)
        assert by_kernel, rig.name


@pytest.mark.parametrize("kind", KINDS)
def test_so_they_do_from_a_start_near_the_rest(kind, both):
    rig = random_rig(kind, 420)
    rest = solve(with_stiffness_factor(rig, 0.9))
    reference, found, by_kernel = both(rig, rest.poses)
    check_same(reference, found)
    assert by_kernel


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_three_hundred_rigs_of_all_kinds_at_all_heights_of_their_load(kind, both):
    for number, rig in enumerate(random_rigs(kind, 300, first=2000)):
        check_same(*both(rig)[:2])
        raised = lifted_cog(rig, 0.02 * number)
        check_same(*both(raised)[:2], limit=1e-8)


def lifted_cog(rig, by_m):
    """The load of a rig with its centre of gravity higher by so much."""
    load = rig.bodies[-1]
    x, y, z = load.cog_m
    return replace(rig, bodies=(*rig.bodies[:-1], replace(load, cog_m=(x, y, z + by_m))))


@pytest.mark.parametrize("above_m", [0.01, 0.3, 2.0])
@pytest.mark.parametrize("across_m", [0.0, 1e-9, 1e-3])
def test_what_falls_is_for_the_reference_to_say(above_m, across_m, both):
    reference, found, by_kernel = both(two_point_load(above_m, across_m=across_m))
    assert not by_kernel
    assert found == reference
    assert found.status is EquilibriumStatus.UNSTABLE


@pytest.mark.parametrize("margin_m", [1e-2, 1e-4, 1e-6, 1e-8, -1e-8, -1e-6, -1e-4, -1e-2])
def test_a_bridle_on_the_brink_has_the_same_verdict_on_either_side(margin_m, both):
    """The load of an elastic four-leg bridle turns over just below the hook; found by halving."""
    low, high = 3.0, 4.2
    for _ in range(50):
        middle = 0.5 * (low + high)
        if both(four_leg_bridle((0.0, 0.0, middle)))[0].is_stable:
            low = middle
        else:
            high = middle
    reference, found, by_kernel = both(four_leg_bridle((0.0, 0.0, low - margin_m)))
    check_same(reference, found)
    assert found.is_stable == (margin_m > 0.0)
    assert by_kernel == (margin_m > 5e-3)


def test_rigs_on_supports_are_solved_by_the_reference(both):
    rig = four_leg_bridle()
    point = rig.bodies[0].points_m[0]
    below = support("far below", f"load.{point.name}", -50.0, 1e8)
    reference, found, by_kernel = both(replace(rig, elements=(*rig.elements, below)))
    assert not by_kernel
    assert list(found.clear_m) == ["far below"]
    assert found == reference


def test_a_rest_whose_proof_fails_is_not_taken_from_the_kernel(both, monkeypatch):
    rig = random_rig("c", 430)
    right = Single.rest

    def wrong(self, *args, **named):
        found = right(self, *args, **named)
        found[0].position_m[0, 2] += 1e-3
        return found

    monkeypatch.setattr(Single, "rest", wrong)
    reference, found, by_kernel = both(rig)
    assert not by_kernel
    assert found == reference


def test_rigs_of_the_same_numbers_take_turns_in_the_same_room(both):
    """Solving one rig leaves nothing behind that could change the next."""
    first, second = random_rig("c", 440), random_rig("c", 441)
    alone = both(first)[1]
    both(second)
    again = both(replace(first, name="again"))[1]
    assert again.tensions_N == alone.tensions_N
    assert again.poses == alone.poses


def test_an_equal_rig_has_the_same_digits_and_its_own_answer(both):
    rig = random_rig("F", 450)
    first, second = both(rig)[1], both(replace(rig))[1]
    assert first == second
    assert first.tensions_N is not second.tensions_N


def test_records_that_hold_lists_are_read_anew_each_time():
    rig = random_rig("d", 460)
    elements = list(rig.elements)
    loose = replace(rig, elements=elements)
    before = solve(loose)
    elements[0] = replace(elements[0], unstretched_length_m=1.02 * elements[0].unstretched_length_m)
    after = solve(loose)
    assert before == solve(rig)
    assert after == solve(replace(rig, elements=tuple(elements)))
    assert after.tensions_N != before.tensions_N
