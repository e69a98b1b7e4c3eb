"""Rule packs: category with its reasons, limits that hold, people, contents of the plan, by every pack at once."""

import datetime
import itertools
from functools import cache

import pytest
from tests.scenarios.variants import example

from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.model import _load_rules as load_rules
from plumbhook.model.people import ROLES, Circumstances
from plumbhook.model.rule_pack import Limit, content_items, rule_pack, rule_pack_names
from plumbhook.planning import assess
from plumbhook.planning.rule_facts import ANSWERS, CONDITIONS, LiftFacts, holds
from plumbhook.planning.rule_packs import pack_checks, pack_statements

A = "hallowmere-viaduct"
UK = ("packs: [united-kingdom]", "packs: [united-kingdom]")


@cache
def assessed(*changes: tuple[str, str]):
    return assess(example(A, *changes))


def packs(*names: str) -> tuple[str, str]:
    return ("packs: [united-kingdom]", f"packs: [{', '.join(names)}]")


def statement(assessment, pack):
    return next(found for found in assessment.rule_packs if found.pack == pack)


@pytest.mark.parametrize("name", rule_pack_names())
def test_a_pack_names_only_what_can_be_decided(name):
    pack = rule_pack(name)
    assert pack.pack == name
    assert pack.usual_category in pack.categories
    for trigger in pack.triggers:
        assert trigger.category in pack.categories
        words, _ = CONDITIONS[trigger.when]
        assert ("{value}" in words) == (trigger.value is not None)
    for item in pack.contents:
        assert content_items()[item.item].answered_by in ANSWERS
        assert item.from_category in pack.categories
        assert item.when is None or item.when in CONDITIONS
    assert {row.role for row in pack.roles} <= set(ROLES)
    rows = (*pack.triggers, *pack.limits, *pack.roles, *pack.contents)
    assert all(row.document and row.clause for row in rows)


def test_every_flag_of_the_circumstances_is_a_condition():
    flags = set(Circumstances.model_fields) - {"cranes", "situation"}
    assert flags <= set(CONDITIONS)


def test_the_corps_calls_75_percent_and_a_little_critical_and_british_columbia_does_not():
    # 75.2 % at 14 m of a chart that goes to 20 m: above 75 %, and far from 90 %.
    assessment = assessed(packs("us-army-engineers", "british-columbia"))
    assert statement(assessment, "us-army-engineers").category == "critical"
    reason = next(row for row in statement(assessment, "us-army-engineers").triggers if row.holds)
    assert "above 75 %" in reason.words
    assert statement(assessment, "british-columbia").category == "lift"
    assert any("client's own rule" in text and "not critical" in text for text in assessment.cautions)


def test_ninety_percent_counts_in_british_columbia_only_beyond_half_the_radius():
    far = example(A, packs("british-columbia", "new-brunswick"))
    facts = LiftFacts(far, {"near": 0.95, "far": 0.5}, {"far": 0.5}, 50e3)
    assert [s.category for s in pack_statements(facts)] == ["lift", "lift"]
    facts = LiftFacts(far, {"near": 0.5, "far": 0.91}, {"far": 0.91}, 50e3)
    assert [s.category for s in pack_statements(facts)] == ["critical", "critical"]


@pytest.mark.parametrize(
    ("pack", "change", "category"),
    [
        ("united-kingdom", ("cranes: 1", "cranes: 2"), "complex"),
        ("united-kingdom", ("people_lifted: false", "people_lifted: true"), "complex"),
        ("british-columbia", ("cog_changes: false", "cog_changes: true"), "critical"),
        ("british-columbia", ("leg_lengths_change: false", "leg_lengths_change: true"), "critical"),
        ("british-columbia", ("cranes: 1", "cranes: 3"), "critical"),
        ("british-columbia", ("cranes: 1", "cranes: 2"), "critical"),  # in tandem, with one above 75 %
        ("queensland", ("people_lifted: false", "bridge_beam: true"), "higher risk"),
        ("us-energy", ("people_lifted: false", "irreplaceable_load: true"), "critical"),
    ],
)
def test_a_circumstance_raises_the_category(pack, change, category):
    lift = example(A, packs(pack), ("hazards_near: true", "hazards_near: false"), change)
    facts = LiftFacts(lift, {"set down": 0.76}, {"set down": 0.76}, 50e3)
    assert pack_statements(facts)[0].category == category
    calm = example(A, packs(pack), ("hazards_near: true", "hazards_near: false"))
    assert pack_statements(LiftFacts(calm, {"a": 0.6}, {"a": 0.6}, 50e3))[0].category != category


def test_what_is_not_stated_neither_holds_nor_is_taken_as_no():
    silent = example(A, ("people_lifted: false", "cranes: 1"), ("  cranes: 1\n  situation", "  situation"))
    facts = LiftFacts(silent, {}, {}, 50e3)
    assert holds("people_lifted", None, facts) is None
    assert holds("several_cranes", None, facts) is False
    assert holds("crane_use_above", 0.75, facts) is None
    gaps = " ".join(gap.text for gap in assess(silent).gaps)
    assert "not stated whether people are lifted" in gaps


def test_a_tilt_limit_looser_than_the_marine_guideline_fails_until_somebody_answers_for_it():
    # 0027/ND, 5.3.2: 2 degrees; the plan works with 5.
    check = assessed(packs("united-kingdom", "marine")).check("pack.marine.tilt_limit")
    assert check.status is Status.FAIL
    relaxed = (
        "  critical_crane_use: 80 %",
        "  critical_crane_use: 80 %\n  relaxed:\n    - {pack: marine, rule: tilt_limit, because: bars turn "
        "freely to 5 deg., by: 'I. Tarnbeck, appointed person'}",
    )
    assessment = assessed(packs("united-kingdom", "marine"), relaxed)
    assert assessment.check("pack.marine.tilt_limit").status is Status.NOT_APPLICABLE
    assert assessment.status is Status.PASS
    assert any("Rule relaxed" in text and "I. Tarnbeck" in text for text in assessment.cautions)


def test_relaxing_a_rule_that_is_kept_changes_nothing():
    relaxed = (
        "  critical_crane_use: 80 %",
        "  critical_crane_use: 80 %\n  relaxed:\n    - {pack: united-kingdom, rule: accessory_examination, "
        "because: none., by: nobody}",
    )
    assert assessed(relaxed).check("pack.united-kingdom.accessory_examination").status is Status.PASS


def test_a_dynamic_factor_below_the_table_for_the_situation_fails():
    # 0027/ND Table 5-1: onshore 1.10; offshore at about 51 t on the hook 1 + 0.25 sqrt(100/51.5) = 1.35.
    onshore = assessed(packs("marine"), ("tilt_limit: 5 deg", "tilt_limit: 2 deg"))
    assert onshore.check("pack.marine.dynamic_factor").status is Status.PASS
    offshore = assessed(packs("marine"), ("situation: onshore", "situation: offshore"))
    check = offshore.check("pack.marine.dynamic_factor")
    assert check.status is Status.FAIL
    assert check.capacity.value == pytest.approx(1.0 + 0.25 * (100.0 / 53.742) ** 0.5, rel=1e-3)


def test_a_bound_that_cannot_be_told_is_not_evaluated():
    lift = example(A, packs("marine"), ("  situation: onshore\n", ""))
    check = next(
        c for c in pack_checks(LiftFacts(lift, {}, {}, 5e4)) if c.check_id == "pack.marine.dynamic_factor"
    )
    assert check.status is Status.NOT_EVALUATED


def test_a_category_declared_too_low_is_refused_and_a_higher_one_is_kept():
    low = (
        "  critical_crane_use: 80 %",
        "  critical_crane_use: 80 %\n  categories: {united-kingdom: standard}",
    )
    check = assessed(low).check("category.united-kingdom")
    assert check.status is Status.FAIL
    assert "make it complex" in check.refused_because
    quiet = ("hazards_near: true", "hazards_near: false")
    assert assessed(low, quiet).check("category.united-kingdom").status is Status.PASS
    high = (low[0], low[1].replace("standard", "complex"))
    assert statement(assessed(high, quiet), "united-kingdom").category == "complex"


def test_an_author_who_checks_his_own_plan_is_refused():
    same = assessed(("name: O. Fellgate", "name: i.  tarnbeck"))
    assert same.check("people.independent").status is Status.FAIL
    nobody = assessed(("role: checking engineer", "role: load owner"))
    assert nobody.check("people.independent").status is Status.NOT_EVALUATED


def test_evidence_that_expires_before_the_lift_fails():
    expired = assessed(("competent_until: 2027-11-30", "competent_until: 2027-03-16"))
    failed = [check.check_id for check in expired.checks if check.status is Status.FAIL]
    assert failed == ["people.competence.1"]
    on_the_day = assessed(("competent_until: 2027-11-30", f"competent_until: {datetime.date(2027, 3, 17)}"))
    assert on_the_day.status is Status.PASS


def test_contents_that_a_pack_asks_for_and_the_plan_has_not_are_a_gap_with_their_clause():
    bare = assessed(
        packs("united-states"),
        ("  communication: radio", "  emergency: radio"),
        ("  emergency: site emergency plan, assembly point at the storage bay\n", ""),
    )  # fmt: skip
    gap = next(gap.text for gap in bare.gaps if "asks for, and this plan has not" in gap.text)
    assert "ASME P30.1:2014, standard lift plan (7)" in gap
    assert "power lines" in gap
    assert "emergency" not in gap
    assert any("nobody is named as lift director" in gap.text for gap in bare.gaps)


def test_no_pack_at_all_is_an_open_gap():
    assessment = assessed(("  packs: [united-kingdom]\n", ""))
    assert any("No rule pack is named" in gap.text for gap in assessment.gaps)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (packs("atlantis"), 'there is no rule pack "atlantis"; there are: british-columbia'),
        (packs("united-kingdom", "united-kingdom"), "stands here twice"),
        (
            ("critical_crane_use: 80 %", "categories: {united-kingdom: grand}"),
            "it has: basic, standard, complex",
        ),
        (("critical_crane_use: 80 %", "categories: {marine: lift}"), "is not among rules.packs"),
        (
            ("critical_crane_use: 80 %", "relaxed: [{pack: marine, rule: tilt_limit, because: x, by: y}]"),
            "is not among rules.packs",
        ),
        (
            (
                "critical_crane_use: 80 %",
                "relaxed: [{pack: united-kingdom, rule: tilt_limit, because: x, by: y}]",
            ),
            "sets no limit on",
        ),
        (
            ("critical_crane_use: 80 %", "relaxed: [{pack: united-kingdom, rule: tilt_limit, by: y}]"),
            "because",
        ),
        (("role: crane operator", "role: crane driver"), '"crane driver" is not a role that is known here'),
        (("situation: onshore", "situation: in space"), "write one of: onshore, inshore, offshore"),
        (("cranes: 1", "cranes: none"), "a whole number"),
        (("people_lifted: false", "people_lifted: maybe"), "write true or false"),
    ],
)
def test_rules_and_people_that_make_no_sense_are_refused_with_the_cure(change, words):
    with pytest.raises(InputError, match=words.replace("(", r"\(")):
        example(A, change)


class TestPacksThatContradict:
    """Made-up packs: one asks for more than the other allows, so no plan can keep both."""

    @pytest.fixture
    def contradicting(self, monkeypatch):
        real = load_rules.rule_pack

        def made_up(name):
            bound = {"marine": {"at_least": "3 deg"}, "united-states": {"at_most": "2 deg"}}.get(name)
            if bound is None:
                return real(name)
            row = Limit(rule="tilt_limit", document="Invented", edition="1", clause=name, **bound)
            return real(name).model_copy(update={"limits": (row,)})

        monkeypatch.setattr(load_rules, "rule_pack", made_up)

    def test_the_file_is_refused_with_both_packs_and_the_cure(self, contradicting):
        with pytest.raises(InputError) as caught:
            example(A, packs("marine", "united-states"))
        (problem,) = caught.value.problems
        assert problem.field == "rules.packs"
        assert problem.message == (
            "marine asks for tilt_limit of at least 3 deg (Invented:1, marine) and united-states for at most 2 deg "
            "(Invented:1, united-states): no value keeps both; name the one that does not hold here under "
            "rules.relaxed, with its reason and who answers for it"
        )

    @pytest.mark.parametrize("pack", ["marine", "united-states"])
    def test_either_may_be_relaxed_by_name(self, contradicting, pack):
        row = f"{{pack: {pack}, rule: tilt_limit, because: a test of the yard, by: I. Tarnbeck}}"
        given = (
            packs("marine", "united-states")[0],
            packs("marine", "united-states")[1] + f"\n  relaxed: [{row}]",
        )
        assert example(A, given).file.rules.relaxed[0].pack == pack

    def test_one_of_them_alone_is_no_contradiction(self, contradicting):
        assert example(A, packs("marine", "united-kingdom")).file.rules.packs == ("marine", "united-kingdom")


@pytest.mark.parametrize("names", list(itertools.combinations(rule_pack_names(), 2)), ids="+".join)
def test_no_two_shipped_packs_contradict(names):
    assert example(A, packs(*names)).file.rules.packs == names


def test_a_plan_says_which_factors_are_inside_a_rated_load_already():
    told = " ".join(assessed().assumptions)
    assert "none is applied again, and no weight or dynamic factor is inside them" in told
    assert "design factor 3 on yield and buckling; by EN 1993 they have the partial factor 1.35" in told
    assert "the weight factor is on it, the dynamic factor is not" in told
    # And so it is: the gross load is the design weight, the rig, the block and the rope, without the dynamic factor.
    crane = assessed().crane
    assert crane.gross_load_kg == pytest.approx(47_848.0 * 1.05 + 1_302.0 + 1_900.0 + 300.0)
