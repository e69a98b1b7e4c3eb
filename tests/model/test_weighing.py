"""Weighing: what is put on the supports comes back, with an uncertainty that sampling confirms."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lift_texts import bridle, problems, read
from scipy.optimize import least_squares

from plumbhook.core.check import SourceQuality
from plumbhook.model.load import cog_m, mass_kg, mass_tolerance_ratio
from plumbhook.model.load_review import review_load
from plumbhook.model.verification import load_cases
from plumbhook.model.weighing import Weighing, weigh
from plumbhook.model.weighing_adjustment import (
    Attitude,
    HookReading,
    Observations,
    Pick,
    Support,
    WeighingError,
    adjust,
    joint_factor,
)

PLACES = ((0.0, -1.0, 0.3), (0.2, 1.1, 0.3), (4.0, -1.2, 0.2), (4.1, 0.9, 0.4))
ANGLE = math.radians(8.0)


def up(azimuth: float, angle: float) -> np.ndarray:
    return np.array(
        [math.sin(angle) * math.cos(azimuth), math.sin(angle) * math.sin(azimuth), math.cos(angle)]
    )


def reactions(
    mass: float, cog: tuple[float, float, float], places=PLACES, azimuth: float = 0.0, angle: float = 0.0,
    rock: float = 0.0,
) -> tuple[float, ...]:  # fmt: skip
    """Forces at the supports that balance the load by cross products, the fourth by how the floor rocks, kg."""
    vertical = up(azimuth, angle)
    columns = [np.concatenate(([1.0], np.cross(np.array(p), vertical))) for p in places]
    target = mass * np.concatenate(([1.0], np.cross(np.array(cog), vertical)))
    found, *_ = np.linalg.lstsq(np.column_stack(columns), target, rcond=None)
    free = np.linalg.svd(np.column_stack(columns))[2][-1]
    return tuple(float(r) for r in found + (rock * mass * free if len(places) > 3 else 0.0))


def covariance(sigmas) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(s**2 if i == j else 0.0 for j in range(len(sigmas))) for i, s in enumerate(sigmas))


def observed(
    mass: float, cog, *, tilted: bool = True, hook: bool = False, place_u: float = 0.002, sigma: float = 10.0
) -> Observations:
    supports = tuple(Support(f"S{i}", at, place_u) for i, at in enumerate(PLACES, start=1))
    spread = covariance([sigma] * 4)
    attitudes = [Attitude("level", reactions(mass, cog, rock=0.03), spread)]
    if tilted:
        attitudes.append(
            Attitude("x+ raised", reactions(mass, cog, angle=ANGLE, rock=0.02), spread, 0.0, ANGLE, 5e-4)
        )
    return Observations(supports, tuple(attitudes), (), HookReading(mass, 25.0) if hook else None)


LOADS = st.tuples(st.floats(1e3, 1e5), st.floats(1.2, 2.8), st.floats(-0.4, 0.4), st.floats(-0.5, 2.0))


@settings(max_examples=50, deadline=None)
@given(LOADS)
def test_what_stands_on_the_supports_comes_back(load: tuple[float, float, float, float]) -> None:
    mass, *cog = load
    result = adjust(observed(mass, tuple(cog), hook=True))
    assert result.mass_kg == pytest.approx(mass, rel=1e-9)
    assert result.cog_m == pytest.approx(tuple(cog), abs=1e-7)
    assert result.redundancy == 3
    assert result.chi_square == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(LOADS, st.sampled_from([0.0, 0.5 * math.pi, math.pi, 1.5 * math.pi]))
def test_any_end_may_be_raised(load: tuple[float, float, float, float], azimuth: float) -> None:
    mass, *cog = load
    spread = covariance([10.0] * 4)
    supports = tuple(Support(f"S{i}", at) for i, at in enumerate(PLACES))
    attitudes = (
        Attitude("level", reactions(mass, cog), spread),
        Attitude("raised", reactions(mass, cog, azimuth=azimuth, angle=0.05), spread, azimuth, 0.05, 1e-5),
    )
    if any(r < 0.0 for attitude in attitudes for r in attitude.readings_kg):
        return
    assert adjust(Observations(supports, attitudes)).cog_m == pytest.approx(tuple(cog), abs=1e-6)


def test_level_readings_tell_nothing_of_the_height() -> None:
    result = adjust(observed(16_850, (2.0, 0.1, 1.0), tilted=False))
    assert result.cog_m[:2] == pytest.approx((2.0, 0.1), abs=1e-9)
    assert math.isnan(result.cog_m[2])
    assert math.isnan(result.half_sizes_m[2])
    assert result.redundancy == 0


def test_level_uncertainty_is_that_of_the_handbook_formula() -> None:
    """Three supports, exact places: u_x^2 = sum((x_i - x)^2 u_i^2) / W^2."""
    places = ((0.0, 0.0, 0.0), (4.0, -1.0, 0.0), (4.0, 1.0, 0.0))
    supports = tuple(Support(f"S{i}", at) for i, at in enumerate(places))
    readings, sigmas = (3000.0, 2500.0, 2400.0), (12.0, 9.0, 7.0)
    result = adjust(Observations(supports, (Attitude("level", readings, covariance(sigmas)),)))
    total = sum(readings)
    x = sum(r * p[0] for r, p in zip(readings, places, strict=True)) / total
    assert result.mass_uncertainty_kg == pytest.approx(math.hypot(*sigmas))
    assert math.sqrt(result.covariance[1][1]) == pytest.approx(
        math.hypot(*((p[0] - x) * s / total for p, s in zip(places, sigmas, strict=True)))
    )


def test_the_place_of_the_supports_counts_too() -> None:
    sure = adjust(observed(16_850, (2.0, 0.1, 1.0), tilted=False, place_u=0.0))
    unsure = adjust(observed(16_850, (2.0, 0.1, 1.0), tilted=False, place_u=0.02))
    shares = np.array(reactions(16_850, (2.0, 0.1, 1.0), rock=0.03)) / 16_850
    added = unsure.covariance[1][1] - sure.covariance[1][1]
    assert added == pytest.approx(0.02**2 * float(shares @ shares), rel=1e-6)


def noisy(exact: Observations, chance: np.random.Generator) -> Observations:
    attitudes = tuple(
        replace(
            a,
            readings_kg=tuple(
                float(r + chance.normal(0.0, math.sqrt(a.covariance_kg2[i][i])))
                for i, r in enumerate(a.readings_kg)
            ),
            angle_rad=a.angle_rad + float(chance.normal(0.0, a.angle_uncertainty_rad))
            if a.angle_rad
            else 0.0,
        )
        for a in exact.attitudes
    )
    supports = tuple(
        replace(s, at_m=tuple(float(c) for c in np.array(s.at_m) + chance.normal(0.0, s.uncertainty_m, 3)))
        for s in exact.supports
    )
    hook = exact.hook and replace(
        exact.hook, reading_kg=exact.hook.reading_kg + float(chance.normal(0.0, exact.hook.uncertainty_kg))
    )
    return Observations(supports, attitudes, exact.picks, hook)


@pytest.mark.parametrize("samples", [120, pytest.param(2000, marks=pytest.mark.slow)])
def test_covariance_and_box_are_those_of_repeated_weighings(samples: int) -> None:
    mass, cog = 16_850.0, (2.0, 0.1, 1.0)
    exact = observed(mass, cog, hook=True)
    told = adjust(exact)
    chance = np.random.default_rng(20270320)
    results = [adjust(noisy(exact, chance)) for _ in range(samples)]
    found = np.array([(r.mass_kg, *r.cog_m) for r in results])
    errors = found - [mass, *cog]
    deviations = np.sqrt(np.diag(np.array(told.covariance)))
    # A standard deviation from n samples is known to 1/sqrt(2 n) of itself, and so on; four times that is allowed.
    known = 4.0 / math.sqrt(2.0 * samples)
    assert errors.std(axis=0) == pytest.approx(deviations, rel=known)
    assert np.all(np.abs(errors.mean(axis=0)) < 4.0 * deviations / math.sqrt(samples))
    correlation = np.corrcoef(found.T)
    expected = np.array(told.covariance) / np.outer(deviations, deviations)
    assert correlation == pytest.approx(expected, abs=4.0 / math.sqrt(samples))
    inside = np.all(np.abs(errors[:, 1:]) <= np.array(told.half_sizes_m), axis=1).mean()
    assert 0.95 - 4.0 * math.sqrt(0.05 * 0.95 / samples) <= inside
    mean = np.mean([r.chi_square for r in results])
    assert mean == pytest.approx(3.0, abs=4.0 * math.sqrt(6.0 / samples))


def test_least_squares_agrees_with_a_general_library() -> None:
    exact = observed(16_850.0, (2.0, 0.1, 1.0), hook=True, place_u=0.0)
    exact = replace(exact, attitudes=tuple(replace(a, angle_uncertainty_rad=0.0) for a in exact.attitudes))
    given = noisy(exact, np.random.default_rng(3))
    assert given.hook is not None

    def misfit(unknown: np.ndarray) -> np.ndarray:
        # Unknown: mass, centre of gravity, and in each attitude how far the floor rocks the fourth support.
        mass, x, y, z, *rocks = unknown
        rows = []
        for attitude, rock in zip(given.attitudes, rocks, strict=True):
            true = reactions(mass, (x, y, z), angle=attitude.angle_rad, rock=rock)
            rows.append((np.array(attitude.readings_kg) - true) / 10.0)
        return np.concatenate([*rows, [(given.hook.reading_kg - mass) / 25.0]])

    library = least_squares(
        misfit,
        [16_000, 1.8, 0.0, 0.8, 0.0, 0.0],
        x_scale=[1e4, 1, 1, 1, 0.1, 0.1],
        xtol=1e-14,
        ftol=1e-14,
        gtol=1e-14,
    )
    ours = adjust(given)
    assert (ours.mass_kg, *ours.cog_m) == pytest.approx(tuple(library.x[:4]), rel=1e-5, abs=1e-6)
    assert ours.chi_square == pytest.approx(2.0 * library.cost, rel=1e-4)
    normal = np.linalg.inv(library.jac.T @ library.jac)
    assert np.sqrt(np.diag(np.array(ours.covariance))) == pytest.approx(
        np.sqrt(np.diag(normal)[:4]), rel=2e-3
    )


def test_both_ends_lifted_in_turn_give_mass_and_place_along() -> None:
    """The load turns about the edge that stays down: 0.2 m in from the far end, not under the other hook."""
    mass, x = 12_000.0, 3.7
    picks = (
        Pick("end a", 0, 0.0, 8.2, 0.0, mass * (8.2 - x) / 8.2, 30.0),
        Pick("end b", 0, 8.4, 0.2, 0.0, mass * (x - 0.2) / 8.2, 30.0),
    )
    result = adjust(Observations(picks=picks))
    assert result.mass_kg == pytest.approx(mass)
    assert result.cog_m[0] == pytest.approx(x)
    assert all(math.isnan(at) for at in result.cog_m[1:])
    # Taking the far edge for the far end of the load would be 2.5 % wrong in the mass.
    careless = tuple(replace(p, pivot_at_m=at) for p, at in zip(picks, (8.4, 0.0), strict=True))
    assert adjust(Observations(picks=careless)).mass_kg < 0.98 * mass


def weighing(**changes: object) -> dict:
    given: dict[str, object] = {
        "source": "four cells, record W-12",
        "instrument": {"accuracy_of_reading": "0.5 %", "division": "5 kg"},
        "position_accuracy": "5 mm",
        "supports": {
            name: [f"{c} m" for c in at]
            for name, at in {
                "A": (0.6, -1.2, 0),
                "B": (0.6, 1.2, 0),
                "C": (8.6, -1.2, 0),
                "D": (8.6, 1.2, 0),
            }.items()
        },
        "level": {"A": "4688 kg", "B": "4853 kg", "C": "3598 kg", "D": "3723 kg"},
    }
    return {key: value for key, value in {**given, **changes}.items() if value is not None}


TILTED = {
    "raised": "x+",
    "angle": "6 deg",
    "angle_accuracy": "0.05 deg",
    "readings": {"A": "4803 kg", "B": "4968 kg", "C": "3488 kg", "D": "3603 kg"},
}


def worked(**changes: object):
    return weigh(Weighing.model_validate(weighing(**changes)))


def test_accuracy_is_a_limit_of_error_and_counts_over_the_root_of_three() -> None:
    readings = (4688, 4853, 3598, 3723)
    own = 5.0 / math.sqrt(12.0)
    expected = math.hypot(*(math.hypot(0.005 * r / math.sqrt(3.0), own) for r in readings))
    assert worked().mass_uncertainty_kg == pytest.approx(expected)
    of_scale = {"accuracy_of_full_scale": "0.1 %", "full_scale": "10 t"}
    assert worked(instrument=of_scale).mass_uncertainty_kg == pytest.approx(2.0 * 10.0 / math.sqrt(3.0))


def test_one_instrument_carried_round_has_one_error_of_scale() -> None:
    each, one = {"accuracy_of_reading": "0.5 %"}, {"accuracy_of_reading": "0.5 %", "one_for_all": True}
    assert worked(instrument=one).mass_uncertainty_kg == pytest.approx(16_862 * 0.005 / math.sqrt(3.0))
    assert worked(instrument=one).mass_uncertainty_kg > 1.9 * worked(instrument=each).mass_uncertainty_kg
    # An error of scale common to all moves no centre of gravity; only the places are left.
    assert worked(instrument=one).covariance[1][1] < worked(instrument=each).covariance[1][1]


def test_tare_comes_off_every_reading() -> None:
    heavy = {name: f"{float(text.split()[0]) + 12} kg" for name, text in weighing()["level"].items()}
    assert worked(
        level=heavy, instrument={"accuracy_of_reading": "0.5 %", "tare": "12 kg"}
    ).mass_kg == pytest.approx(16_862)


def test_a_raised_end_gives_the_height_and_no_surer_a_mass() -> None:
    level, both = worked(), worked(tilted=[TILTED])
    assert both.cog_m[2] == pytest.approx(1.038, abs=0.002)
    assert both.mass_uncertainty_kg >= level.mass_uncertainty_kg * (1 - 1e-12)
    by_height = {**TILTED, "raised_by": "0.836228 m", "over": "8 m", "height_accuracy": "7 mm"}
    del by_height["angle"], by_height["angle_accuracy"]
    assert worked(tilted=[by_height]).cog_m[2] == pytest.approx(both.cog_m[2], abs=1e-3)


def test_the_box_holds_all_axes_together() -> None:
    assert joint_factor(1) == pytest.approx(1.95996, abs=1e-5)
    assert joint_factor(3) == pytest.approx(2.3877, abs=1e-4)
    result = worked(tilted=[TILTED])
    assert result.half_sizes_m[0] == pytest.approx(joint_factor(3) * math.sqrt(result.covariance[1][1]))


HOOK = {"reading": "16.9 t", "accuracy": "1 %"}
REFUSED = {
    "lie on one line in plan": {
        "supports": {n: [f"{i} m", f"{2 * i} m", "0 m"] for i, n in enumerate("ABCD")},
    },
    "three supports or more": {
        "supports": {"A": ["0 m"] * 3, "B": ["8 m", "0 m", "0 m"]}, "level": {"A": "4 t", "B": "5 t"},
    },
    "D, level: the net reading is negative, but a support can only push": {
        "level": {"A": "4 t", "B": "5 t", "C": "3 t", "D": "-50 kg"},
    },
    "C, level: the net reading is negative": {
        "level": {"A": "4 t", "B": "5 t", "C": "10 kg", "D": "3 t"},
        "instrument": {"accuracy_of_reading": "1 %", "tare": "12 kg"},
    },
    "level: D has no reading": {"level": {"A": "4 t", "B": "5 t", "C": "3 t"}},
    "level: E is not one of the supports": {
        "level": {"A": "4 t", "B": "5 t", "C": "3 t", "D": "3 t", "E": "1 t"},
    },
    "an instrument without any uncertainty": {"instrument": {"tare": "1 kg"}},
    "the accuracy is given of full scale, but not the full scale": {
        "instrument": {"accuracy_of_full_scale": "1 %"},
    },
    "the supports sum to 16 862 kg and the hook reads 18 000 kg net": {"hook": {**HOOK, "reading": "18 t"}},
    "no weight explains these readings": {
        "tilted": [{**TILTED, "readings": {"A": "4803 kg", "B": "4968 kg", "C": "3488 kg", "D": "2603 kg"}}],
    },
    "nothing stands on the supports": {"level": dict.fromkeys("ABCD", "0 kg")},
    "there are no readings": {"level": None},
    "do not give a mass": {
        "level": None, "end_picks": [{"along": "x", "hook": "0 m", "pivot": "8 m", "reading": "5 t"}],
    },
    "hook and far edge are at the same place": {
        "level": None, "end_picks": [{"along": "x", "hook": "0 m", "pivot": "0 m", "reading": "5 t"}],
    },
    "give no positive mass": {
        "level": None,
        "end_picks": [
            {"along": "x", "hook": "0 m", "pivot": "8 m", "reading": "5 t"},
            {"along": "x", "hook": "8 m", "pivot": "16 m", "reading": "4 t"},
        ],
    },
    "the tilt is hardly more than its own accuracy": {"tilted": [{**TILTED, "angle": "0.05 deg"}]},
    "a tilted weighing needs angle with angle_accuracy": {
        "tilted": [{key: value for key, value in TILTED.items() if key != "angle_accuracy"}],
    },
    "the hook reads nothing": {"hook": {**HOOK, "tare": "16.9 t"}},
}  # fmt: skip


@pytest.mark.parametrize("sentence", REFUSED)
def test_readings_that_cannot_be_are_refused_in_a_sentence(sentence: str) -> None:
    with pytest.raises(WeighingError) as refused:
        worked(**REFUSED[sentence])
    assert sentence in str(refused.value).replace("\u00a0", " ")
    assert "\n" not in str(refused.value)


def test_a_wrong_reading_is_named() -> None:
    wrong = {**TILTED["readings"], "C": "3888 kg"}
    with pytest.raises(
        WeighingError, match=r"look first at the reading A, x\+ raised 6.00° or C, x\+ raised"
    ):
        worked(tilted=[{**TILTED, "readings": wrong}], hook=HOOK)


def test_the_band_of_disagreement_is_the_users_to_state() -> None:
    off = {"reading": "17.1 t", "accuracy": "1 %"}
    assert worked(hook=off).redundancy == 1
    with pytest.raises(WeighingError, match="more than 2 standard uncertainties"):
        worked(hook={**off, "reading": "17.1 t"} | {"accuracy": "0.5 %"}, disagreement_limit=2)


def weighed_lift(**changes: object) -> dict:
    lift = bridle()
    lift["load"]["weight"] = {"source": "record W-12", "state": "drained"}
    for key in ("cog", "cog_box"):
        lift["load"].pop(key)
    points = {"A": "1 -1 0.4", "B": "8 -1 0.4", "C": "4 1 0.4"}
    lift["load"]["lift_points"] = {
        name: {"at": [f"{c} m" for c in at.split()], "rated_load": "9 t"} for name, at in points.items()
    }
    for item in lift["equipment"]:
        item["length"] = "9.0 m"
    lift["load"].update({"weighing": weighing(tilted=[TILTED]), **changes})
    return lift


def test_a_weighed_load_has_its_mass_centre_and_box_from_the_readings() -> None:
    load = read(weighed_lift()).file.load
    result = worked(tilted=[TILTED])
    assert mass_kg(load) == result.mass_kg
    assert cog_m(load) == result.cog_m
    assert load.cog_box.z_m == result.half_sizes_m[2]
    assert load.cog_box.source == "weighing, 95 % of all axes together"
    assert mass_tolerance_ratio(load) == pytest.approx(
        joint_factor(1) * result.mass_uncertainty_kg / result.mass_kg
    )


def test_height_may_come_from_the_parts_where_the_load_was_weighed_level() -> None:
    lift = weighed_lift(weighing=weighing())
    assert any("tells nothing of the centre of gravity along z" in text for text in problems(lift))
    part = {"name": "skid", "mass": "16.85 t", "at": ["4.1 m", "0 m", "1.1 m"], "source": "list",
            "tolerance": "3 %", "position_tolerance": "60 mm"}  # fmt: skip
    load = read(weighed_lift(weighing=weighing(), parts=[part])).file.load
    assert cog_m(load)[2] == pytest.approx(1.1)
    assert cog_m(load)[0] == pytest.approx(4.073, abs=0.001)
    assert load.cog_box.z_m == pytest.approx(0.06)
    assert load.cog_box.source.endswith("z: tolerances of the parts, worst combination")


def test_water_that_is_not_in_the_list_shows_when_the_load_is_weighed() -> None:
    part = {
        "name": "skid",
        "mass": "16.4 t",
        "at": ["4.1 m", "0 m", "1.1 m"],
        "source": "list",
        "tolerance": "1 %",
    }
    remarks = [r.text.replace("\u00a0", " ") for r in review_load(read(weighed_lift(parts=[part])).file.load)]
    assert any(
        "The weighing gives 462 kg more than the parts, beyond their tolerances" in text for text in remarks
    )


def test_a_declared_mass_that_the_weighing_contradicts_is_refused() -> None:
    lift = weighed_lift()
    lift["load"]["weight"].update({"mass": "15.3 t", "tolerance": "1 %"})
    (problem,) = problems(lift)
    assert problem.startswith("load.weight.mass: the weighing gives 16")
    assert "tonnes read as short tons" in problem


def test_a_bad_weighing_is_one_sentence_of_the_lift_file() -> None:
    (problem,) = problems(weighed_lift(weighing=weighing(hook={"reading": "19 t", "accuracy": "1 %"})))
    assert problem.startswith("load.weighing: the supports sum to")
    (unknown,) = problems(weighed_lift(weighing={**weighing(level=None), "levl": {}}))
    assert 'load.weighing.levl: this key is not known; did you mean "level"?' in unknown


@pytest.mark.parametrize("case", load_cases(), ids=lambda case: case.case_id)
def test_a_published_weight_or_centre_is_met(case) -> None:
    assert case.ok, f"{case.source}: {case.published} {case.unit} published, {case.computed} computed"
    assert case.quality is not SourceQuality.POLICY
