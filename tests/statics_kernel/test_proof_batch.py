"""The proof of a batch holds where that of each sample's own rig does, and for nothing that is a little off."""

from dataclasses import replace

import numpy as np
import pytest
from tests.statics.rigs import KINDS, four_leg_bridle, random_rig
from tests.statics_kernel.sampling import graph_of, rows_of, scattered

from plumbhook.model.rig_graph import ElementType, Pose, support
from plumbhook.statics.kernel import BatchSamples, solve_batch
from plumbhook.statics.kernel.problem import Problem
from plumbhook.statics.proof import prove
from plumbhook.statics.proof_batch import BatchProof, Given


class Proved:
    """A batch with poses, and its proof of numbers that may be changed before."""

    def __init__(self, kind, compiled, count=9):
        self.rig = random_rig(kind, 21)
        self.samples = scattered(self.rig, count)
        self.batch = solve_batch(self.rig, self.samples, poses=True, form=compiled)
        arrays = Problem(self.rig).arrays
        self.datum, anchors = arrays.datum_m, arrays.reference_m
        shift = self.samples.cog_shift_m
        reference = np.einsum("nbij,nbj->nbi", self.batch.rotation, anchors + shift)
        self.position = self.batch.origin_m + reference - self.datum
        self.proof = BatchProof(self.rig, anchors)

    def holds(self, *, samples=None, position=None, rotation=None, tensions=None):
        own = samples or self.samples
        given = Given(
            own.mass_kg, own.cog_shift_m, own.unstretched_length_m, own.stiffness_factor, own.hook_position_m
        )
        return self.proof.holds(
            given,
            self.position if position is None else position,
            self.batch.rotation if rotation is None else rotation,
            self.batch.tensions_N if tensions is None else tensions,
            datum_m=self.datum,
        )


@pytest.mark.parametrize("kind", KINDS)
def test_every_sample_is_proved_by_both_proofs(kind, compiled):
    this = Proved(kind, compiled)
    assert this.batch.proved.all()
    assert this.holds().all()
    for row in range(3):
        own = graph_of(this.rig, this.samples, row)
        poses = {
            body.name: Pose(
                tuple(this.batch.origin_m[row, n]), tuple(map(tuple, this.batch.rotation[row, n]))
            )
            for n, body in enumerate(own.bodies)
        }
        tensions = {e.name: this.batch.tensions_N[row, n] for n, e in enumerate(own.elements)}
        pins = {e.name: pin_force(own, poses, e) for e in own.elements if e.type is ElementType.PIN}
        assert prove(own, poses, tensions, pins).holds


def pin_force(rig, poses, element):
    def place(ref):
        owner, point = ref.split(".", 1)
        body = next(body for body in rig.bodies if body.name == owner)
        return np.array(poses[owner].world(next(p.position_m for p in body.points_m if p.name == point)))

    gap = place(element.to_ref) - place(element.from_ref)
    return tuple(element.stiffness_N_per_m * gap)


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_a_little_off_is_not_proved(kind, compiled):
    this = Proved(kind, compiled)
    rows = np.arange(9)
    off = this.batch.tensions_N.copy()
    off[rows, rows % off.shape[1]] += 1e-6 * off.max()
    assert not this.holds(tensions=off).any()
    sunk = this.position.copy()
    sunk[:, -1, 2] -= 1e-5
    assert not this.holds(position=sunk).any()
    turned = this.batch.rotation.copy()
    c, s = np.cos(1e-5), np.sin(1e-5)
    turned[:, -1] = np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]]) @ turned[:, -1]
    assert not this.holds(rotation=turned).any()
    heavier = BatchSamples(**{
        **{name: getattr(this.samples, name) for name in ("cog_shift_m", "unstretched_length_m", "stiffness_factor")},
        "mass_kg": this.samples.mass_kg * (1.0 + 1e-6),
    })  # fmt: skip
    assert not this.holds(samples=heavier).any()


def test_what_is_not_finite_or_missing_is_not_proved(compiled):
    this = Proved("b", compiled)
    tensions = this.batch.tensions_N.copy()
    tensions[2, 0] = np.nan
    tensions[4] = np.inf
    assert np.flatnonzero(~this.holds(tensions=tensions)).tolist() == [2, 4]


def test_a_sample_whose_proof_fails_is_neither_stable_nor_converged(compiled, monkeypatch):
    rig = four_leg_bridle()
    samples = BatchSamples(stiffness_factor=np.ones((6, 4)))
    right = BatchProof.holds

    def wrong(self, *args, **named):
        held = right(self, *args, **named)
        held[3] = False
        return held

    monkeypatch.setattr(BatchProof, "holds", wrong)
    batch = solve_batch(rig, samples, form=compiled)
    assert batch.stable.tolist() == batch.converged.tolist() == batch.proved.tolist()
    assert np.flatnonzero(~batch.stable).tolist() == [3]
    assert np.isnan(batch.tensions_N[3]).all()


def test_without_the_proof_the_numbers_are_the_same_and_none_is_called_proved(compiled):
    rig = random_rig("c", 22)
    samples = scattered(rig, 5)
    with_it = solve_batch(rig, samples, form=compiled)
    without = solve_batch(rig, samples, form=compiled, proof=False)
    assert without.proved is None
    assert np.array_equal(with_it.tensions_N, without.tensions_N)
    assert solve_batch(rig, rows_of(samples, slice(2, 3)), form=compiled).proved.tolist() == [True]


def test_places_told_of_other_points_are_refused():
    rig = four_leg_bridle()
    with pytest.raises(ValueError, match="centres of gravity"):
        BatchProof(rig, Problem(rig).arrays.reference_m + 0.1)


def test_a_push_a_little_off_is_not_proved(compiled):
    rig = four_leg_bridle()
    pressed = replace(rig, elements=(*rig.elements, support("below", "load.p1", -3.98, 1e6)))
    batch = solve_batch(pressed, BatchSamples(mass_kg=np.full((2, 1), 12e3)), poses=True, form=compiled)
    assert batch.proved.all()
    assert batch.tensions_N[0, -1] > 1e3
    arrays = Problem(pressed).arrays
    position = batch.origin_m + np.einsum("nbij,bj->nbi", batch.rotation, arrays.reference_m) - arrays.datum_m
    off = batch.tensions_N.copy()
    off[1, -1] *= 1.0 + 1e-5
    proof = BatchProof(pressed, arrays.reference_m)
    held = proof.holds(Given(*[None] * 5), position, batch.rotation, off, datum_m=arrays.datum_m)
    assert held.tolist() == [True, False]
