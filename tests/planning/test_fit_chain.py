"""The chain from the crane hook to the lift points: every two neighbours, known, unknown, and what each is for."""

from __future__ import annotations

import pytest
from small_lifts import ALL, ONE_STRUT, read
from small_lifts import assessed as assessed_small
from tests.scenarios.variants import assessed, example

from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.model.stock import read_stock
from plumbhook.planning import Assessment, assess

HALLOWMERE, MARROW_LANE = "hallowmere-viaduct", "marrow-lane"


def fit_checks(assessment: Assessment) -> set[str]:
    return {check.check_id for check in assessment.checks if check.check_id.startswith("fit.")}


def fit_gaps(assessment: Assessment) -> list[str]:
    return [gap.text for gap in assessment.gaps if "Fit is not known" in gap.text]


@pytest.mark.parametrize(("folder", "connections"), [(HALLOWMERE, 27), (MARROW_LANE, 22)])
def test_the_whole_chain_of_the_examples_is_known_and_fits(folder, connections):
    assessment = assessed(folder)
    assert len(assessment.fit_chain) == connections
    assert {row.verdict for row in assessment.fit_chain} == {"fits"}
    assert fit_checks(assessment) == {row.check_id for row in assessment.fit_chain}
    assert not fit_gaps(assessment)
    assert not any("by hand" in gap.text for gap in assessment.gaps)
    assert assessment.status is Status.PASS


def test_every_item_of_a_line_is_met_above_and_below():
    lift = example(HALLOWMERE)
    words = " ".join(f"{row.upper} {row.lower}" for row in assess(lift).fit_chain)
    for line in lift.file.rig.lines.values():
        for entry in line.items:
            for serial in entry.serials:
                assert words.count(serial) == 2, serial


def test_the_chain_goes_down_the_load_path():
    rows = [row.check_id for row in assessed(HALLOWMERE).fit_chain]
    order = [
        "fit.hook.0",
        "fit.hook.1",
        "fit.hook",
        "fit.T1.1",
        "fit.U1.a.above",
        "fit.S1.a.above",
        "fit.load.L1",
    ]
    assert [rows.index(each) for each in order] == sorted(rows.index(each) for each in order)


def test_a_shackle_turns_its_bow_to_the_slings_and_its_pin_to_plate_or_link():
    rows = {row.check_id: row for row in assessed(HALLOWMERE).fit_chain}
    assert rows["fit.hook"].lower == "SH-35-01 (pin), SH-35-02 (pin)"
    assert rows["fit.T1.1"].upper == "SH-35-01 (bow)"
    assert rows["fit.V1.1"].lower == "SH-17-01 (bow)"
    assert rows["fit.load.L1"].upper == "SH-17-01 (pin)"


def test_a_fit_that_is_tight_is_not_shown_as_what_governs():
    assert not any(check.station == "fit" for check in assessed(HALLOWMERE).governing(30))


NO_HOLE = ("hole: 38 mm, plate: 30 mm, source: lug drawing", "source: lug drawing")


def test_an_unknown_size_is_a_gap_that_names_the_connection_in_an_ordinary_lift():
    assessment = assess(example(MARROW_LANE, NO_HOLE))
    assert assessment.status is Status.PASS
    (gap,) = fit_gaps(assessment)
    assert gap.startswith(
        "Fit is not known at 4 of 22 connections, to be checked by hand: load.A+: SH-12-02 (pin) with"
    )
    assert "fit.load.A+" not in fit_checks(assessment)


def test_the_same_unknown_size_stops_a_complex_lift():
    assessment = assess(example(MARROW_LANE, NO_HOLE, ("hazards_near: false", "hazards_near: true")))
    assert assessment.status is Status.NOT_EVALUATED
    check = assessment.check("fit.load.A+")
    assert check.not_evaluated_because == "not known: sizes of lift point A+"
    assert not fit_gaps(assessment)
    assert any(
        gap.text.startswith("Fit at A+: SH-12-02 (pin) with lift point A+: not evaluated")
        for gap in assessment.gaps
    )


def test_the_clients_own_rule_makes_a_lift_critical_as_well():
    changes = (NO_HOLE, ("crane_use_limit: 85 %", "crane_use_limit: 85 %\n  critical_crane_use: 80 %"))
    assert assess(example(MARROW_LANE, *changes)).status is Status.NOT_EVALUATED


def test_a_misfit_fails_whatever_the_category():
    assessment = assess(example(MARROW_LANE, ("hole: 38 mm, plate: 30 mm", "hole: 34 mm")))
    check = assessment.check("fit.load.B-")
    assert check.status is Status.FAIL
    assert check.refused_because == "pin 35 mm in hole 34 mm does not go"


@pytest.mark.parametrize("name", ALL)
def test_lifts_of_every_arrangement_without_sizes_stay_as_they_were(name):
    assessment = assessed_small(ALL[name])
    assert assessment.fit_chain
    assert {row.verdict for row in assessment.fit_chain} <= {"unknown"}
    assert not fit_checks(assessment)
    assert len(fit_gaps(assessment)) == 1


def test_a_hook_that_is_too_thick_for_the_top_link_is_found():
    assessment = assess(example(HALLOWMERE, ("hook_width: 160 mm", "hook_width: 195 mm")))
    assert {c.check_id for c in assessment.checks if c.status is Status.FAIL} == {"fit.hook.0"}


def test_a_link_too_thick_for_the_seat_is_found_once():
    assessment = assess(example(HALLOWMERE, ("hook_seat_limit: 75 mm", "hook_seat_limit: 65 mm")))
    assert {c.check_id for c in assessment.checks if c.status is Status.FAIL} == {"hook_seat"}
    assert next(row for row in assessment.fit_chain if row.check_id == "fit.hook.0").verdict == "does not fit"


def test_a_line_choked_round_the_tube_is_no_connection_of_known_sizes():
    assessment = assess(example(MARROW_LANE, ("V1: {from: A+,", "V1: {choked_round: from, from: A+,")))
    row = next(row for row in assessment.fit_chain if row.check_id == "fit.V1.tube")
    assert row.verdict == "unknown"


def test_slings_side_by_side_are_one_place_of_the_chain():
    text = ONE_STRUT.replace("items: [RV-1]", "items: [[RV-1, RW-1]]").replace(
        "  - {serial: RV-2", "  - {serial: RW-1, kind: roundsling, description: roundsling RV, wll: 10 t, mass: 10 kg, "
        "length: 1.5 m, elongation_at_wll: 5 %, last_examination: 2027-02-01, status: ok}\n  - {serial: RV-2", 1,
    )  # fmt: skip
    rows = assess(read(text)).fit_chain
    assert any(row.upper.startswith("RV-1, RW-1") for row in rows)


STOCK = "serial,kind,{column} [mm]\nX-1,shackle,{value}\n"


@pytest.mark.parametrize("column", ["hole", "plate", "inside_width", "thickness", "least_bearing", "lower_pin",
    "lower_jaw", "lower_hole", "lower_plate", "lower_link_stock", "lower_inside_width"])  # fmt: skip
def test_sizes_of_the_stock_have_units_and_are_more_than_zero(column):
    item = read_stock(STOCK.format(column=column, value="42"), "s.csv")["X-1"]
    assert getattr(item, f"{column}_m") == pytest.approx(0.042)
    assert getattr(read_stock("serial,kind\nX-1,shackle\n", "s.csv")["X-1"], f"{column}_m") is None
    for wrong in ("0", "-42"):
        with pytest.raises(InputError, match="must be more than zero; leave the cell empty"):
            read_stock(STOCK.format(column=column, value=wrong), "s.csv")
    with pytest.raises(InputError):
        read_stock(STOCK.format(column=column, value="42").replace(" [mm]", ""), "s.csv")
