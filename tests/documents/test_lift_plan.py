"""The lift plan as a file: what is on its pages, in every state of the checks, and that nothing leaves its page."""

import io
import math
import re
from dataclasses import replace
from pathlib import Path

import factory
import pypdfium2 as pdfium
import pytest
from pypdf import PdfReader

import plumbhook
from plumbhook.core.check import Status, Step, Value
from plumbhook.core.errors import AuditError
from plumbhook.documents import lift_plan, render_lift_plan
from plumbhook.documents.lift_plan import PlanError, plan_files
from plumbhook.documents.sheets.cover import governing_checks
from plumbhook.documents.sheets.workings import worked_checks
from plumbhook.planning.assessment import Assessment

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
HOSTILE = {
    "quotes and tags": "\"quotes\" 'single' <b>tag</b> &amp; ]]> </svg>",
    "markup": '#set text(red) $x^2$ *bold* _it_ @ref \\ `raw` ~ // c /* */ [x] <lab> #panic("x")',
    "right to left": "مرحبا שלום mixed",
    "emoji and controls": "😀🏗️ \u202e rtl \x00\x07 \ud800",
    "one long word": "A" * 300,
    "many words": "word " * 70,
    "line starts": "= heading\n- list\n+ enum\n/ term: x",
}


def pages(pdf: bytes) -> list[str]:
    with pdfium.PdfDocument(pdf) as document:
        return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]


def whole(pdf: bytes) -> str:
    return " ".join(pages(pdf))


def change(assessment: Assessment, check_id: str, **fields) -> Assessment:
    checks = tuple(replace(c, **fields) if c.check_id == check_id else c for c in assessment.checks)
    return replace(assessment, checks=checks, stations=factory.stations_a(checks))


@pytest.fixture(scope="module")
def passing() -> Assessment:
    return factory.scenario_a()


@pytest.fixture(scope="module")
def plan(passing: Assessment) -> bytes:
    return render_lift_plan(passing)


def test_every_page_says_what_it_belongs_to(plan: bytes) -> None:
    texts = pages(plan)
    for number, text in enumerate(texts, 1):
        assert f"page {number} of {len(texts)}" in text
        assert "HV-0317 rev B" in text
        assert "AE39 3CAB 6CE6" in text
        assert "NOT ISSUED" in text
        assert "Invented demo data" in text


def test_a_real_lift_is_not_called_invented() -> None:
    assert "nvented demo" not in whole(render_lift_plan(factory.scenario_a(invented=False)))


def test_the_cover_gives_both_verdicts_numbers_and_what_governs(plan: bytes) -> None:
    cover = pages(plan)[0]
    for words in (
        "✓ PASS",
        "? NOT ISSUED",
        "47.85",
        "53.74",
        "48.97",
        "Sign-off",
        "Checking engineer",
        "97.7 %",
    ):
        assert words in cover, words
    assert "1 Load statement" in pages(plan)[1]


def test_each_sheet_is_there_in_order(plan: bytes) -> None:
    titles = [item.title for item in PdfReader(io.BytesIO(plan)).outline if not isinstance(item, list)]
    assert titles == [
        "Load statement",
        "Arrangement of the rig",
        "Load path, hook to ground",
        "Three methods",
        "Register of checks",
        "Checks with their working",
        "Crane duty and headroom",
        "Gaps, assumptions, cautions",
    ]


def test_the_plan_holds_what_the_assessment_says(plan: bytes, passing: Assessment) -> None:
    text = whole(plan)
    for check in passing.checks:
        assert check.title in text
    for item in passing.rig.items:
        assert item.serials[0] in text
    for sentence in (*passing.assumptions, *passing.cautions):
        assert sentence in text
    for gap in passing.gaps:
        assert gap.text in text
    for row in passing.comparisons:
        assert row.quantity in text


def test_equal_input_gives_equal_bytes(plan: bytes) -> None:
    assert render_lift_plan(factory.scenario_a()) == plan


def test_another_lift_gives_other_bytes(plan: bytes) -> None:
    assert render_lift_plan(factory.scenario_a(revision="C")) != plan


def test_the_file_is_pdf_a_with_the_date_of_the_lift_and_only_our_fonts(plan: bytes) -> None:
    # ISO 19005-2: part and conformance stand in the XMP metadata; all fonts are embedded.
    reader = PdfReader(io.BytesIO(plan))
    xmp = reader.trailer["/Root"]["/Metadata"].get_object().get_data().decode()
    assert "<pdfaid:part>2</pdfaid:part>" in xmp
    assert "<pdfaid:conformance>B</pdfaid:conformance>" in xmp
    assert str(reader.metadata.creation_date_raw).startswith("D:20270317")
    fonts = {
        str(font.get_object()["/BaseFont"]).split("+")[-1].removesuffix("-Identity-H")
        for page in reader.pages
        for font in page["/Resources"].get("/Font", {}).values()
    }
    assert fonts
    assert all(name.startswith(("SourceSansPro", "NewCMMath")) for name in fonts), fonts


def test_pages_are_a4_and_no_text_leaves_its_margins(plan: bytes) -> None:
    document = pdfium.PdfDocument(plan)
    for page in document:
        width, height = page.get_size()
        assert (width, height) == pytest.approx((595.28, 841.89), abs=0.1)
        text = page.get_textpage()
        for index in range(text.count_chars()):
            left, bottom, right, top = text.get_charbox(index)
            if right - left > 0.0:
                assert left >= 21.0 / 25.4 * 72.0 - 2.0
                assert right <= width - 12.0 / 25.4 * 72.0 + 2.0
                assert bottom >= 8.0 / 25.4 * 72.0
                assert top <= height - 8.0 / 25.4 * 72.0


def test_utilisation_is_rounded_up_and_capacity_down(passing: Assessment) -> None:
    # 34.18 of 35 t is 97.657 %: never printed as 97.6. 0.85 x 71.5 t is 60.775 t: never printed as 60.78.
    text = whole(render_lift_plan(passing))
    assert "97.7" in text
    assert "97.6 " not in text
    assert "60.77 t" in text
    assert "60.78 t" not in text


def test_a_failure_is_black_on_the_cover_and_says_what_would_mend_it(passing: Assessment) -> None:
    load = Value("F", 36.0e3 * 9.81, "N", "demand, worst corner of the box", "solver", "kN")
    failing = change(passing, "shackle.SH-35-01", demand=load, steps=(), cure="use a larger shackle")
    assert failing.status is Status.FAIL
    texts = pages(render_lift_plan(failing))
    assert "× FAIL" in texts[0]
    assert "✓ PASS Every check" not in texts[0]
    assert "1 of 23 checks fail" in texts[0]
    assert "not every check passes" in texts[0]
    assert all("checks FAIL" in text for text in texts)
    assert "use a larger shackle" in " ".join(texts)
    assert "Refused in this plan" in texts[-1]


def test_a_check_without_numbers_forbids_pass_and_gives_its_reason(passing: Assessment) -> None:
    blank = Value("WLL", math.nan, "N", "rated load", "load.lift_points.L2", "kN")
    reason = "the rated load of lift point L2 is not given"
    open_check = change(passing, "lift_point.L2", capacity=blank, steps=(), not_evaluated_because=reason)
    texts = pages(render_lift_plan(open_check))
    assert "NOT EVALUATED" in texts[0]
    assert "✓ PASS" not in texts[0].split("What governs", maxsplit=1)[0]
    assert reason in " ".join(texts)


def test_a_broken_rule_is_refused_in_print(passing: Assessment) -> None:
    reason = "a joint lies at mid-span"
    refused = change(passing, "strut.U1", refused_because=reason)
    assert f"REFUSED: {reason}" in whole(render_lift_plan(refused))


def test_what_does_not_apply_is_said_with_its_reason(plan: bytes) -> None:
    assert "its bending is the load owner's: they sign for it" in whole(plan)


def test_no_checks_at_all_is_no_pass(passing: Assessment) -> None:
    empty = replace(passing, checks=(), stations=())
    assert "NOT EVALUATED" in pages(render_lift_plan(empty))[0]


def test_a_lift_without_crane_load_cell_parts_or_comparison_still_makes_a_plan(passing: Assessment) -> None:
    bare = replace(
        passing,
        crane=None,
        trial_lift=None,
        comparisons=(),
        cases=(),
        gaps=(),
        cautions=(),
        key_numbers=(),
        load=replace(passing.load, parts=(), envelope=None),
    )
    text = whole(render_lift_plan(bare))
    assert "no crane was given" in text
    assert "could not be solved" in text
    assert "None known." in text


def test_of_each_kind_the_governing_check_is_worked_in_full(passing: Assessment) -> None:
    chosen = {check.check_id for check in worked_checks(passing)}
    assert {"shackle.SH-35-01", "sling.RS-20-10", "strut.U1", "lift_point.L2", "crane.14m"} <= chosen
    assert "shackle.SH-17-01" not in chosen
    assert "segment.bending" not in chosen


def test_a_failure_governs_its_kind_whatever_its_utilisation(passing: Assessment) -> None:
    failing = change(passing, "sling.RS-20-13", refused_because="label unreadable")
    chosen = {check.check_id for check in worked_checks(failing)}
    assert "sling.RS-20-13" in chosen
    assert "sling.RS-20-10" not in chosen


def test_what_governs_names_each_station_once_but_every_failure(passing: Assessment) -> None:
    stations = [check.station for check in governing_checks(passing)]
    assert len(set(stations)) == len(stations) == 6
    failing = change(passing, "shackle.SH-35-03", refused_because="plain bolt as pin")
    assert governing_checks(failing)[0].check_id == "shackle.SH-35-03"


def test_a_formula_that_does_not_give_its_number_is_never_printed(passing: Assessment) -> None:
    check = passing.check("strut.U1")
    wrong = replace(check.steps[0].result, value=check.steps[0].result.value * 1.01)
    steps = (Step(wrong, check.steps[0].formula, check.steps[0].inputs), *check.steps[1:])
    with pytest.raises(AuditError):
        render_lift_plan(change(passing, "strut.U1", steps=steps))


def test_a_warning_of_the_typesetter_is_an_error(
    passing: Assessment, monkeypatch: pytest.MonkeyPatch
) -> None:
    files = plan_files(passing)
    files["style.typ"] = files["style.typ"].replace(b'"Source Sans Pro"', b'"No Such Face"')
    monkeypatch.setattr(lift_plan, "plan_files", lambda _: files)
    with pytest.raises(PlanError):
        render_lift_plan(passing)


def everywhere(assessment: Assessment, text: str) -> Assessment:
    """The same assessment with ``text`` in every place that a user can write to."""
    load = replace(
        assessment.load,
        name=text,
        source=text,
        state=text,
        said_by=text,
        parts=tuple(replace(p, name=text, letter=text[:3], source=text) for p in assessment.load.parts),
        lift_points=tuple(replace(p, name=text, detail=text) for p in assessment.load.lift_points),
    )
    rig = replace(
        assessment.rig,
        arrangement=text,
        items=tuple(replace(i, description=text, serials=(text, text)) for i in assessment.rig.items),
        struts=tuple(
            replace(
                s, name=text, family=text, pieces=tuple(replace(p, label=text, serial=text) for p in s.pieces)
            )
            for s in assessment.rig.struts
        ),
        lines=tuple(replace(line, name=text, label=text) for line in assessment.rig.lines),
        hook_items=tuple(replace(h, serial=text, description=text) for h in assessment.rig.hook_items),
    )
    assert assessment.crane is not None
    assert assessment.trial_lift is not None
    return replace(
        assessment,
        identity=replace(
            assessment.identity,
            lift_id=text,
            revision=text,
            title=text,
            site=text,
            date=text,
            planned_by=text,
            load_owner=text,
        ),
        load=load,
        rig=rig,
        checks=tuple(
            replace(c, title=text, assumptions=(text,), attention=text, cure=text) for c in assessment.checks
        ),
        stations=tuple(replace(s, name=text, detail=text, note=text) for s in assessment.stations),
        gaps=tuple(replace(g, text=text, closed_by=text) for g in assessment.gaps),
        cautions=(text,) * 9,
        assumptions=(text,),
        key_numbers=tuple(replace(k, label=text, note=text) for k in assessment.key_numbers),
        comparisons=tuple(replace(c, quantity=text, case=text) for c in assessment.comparisons),
        crane=replace(
            assessment.crane,
            machine=text,
            configuration=text,
            headroom=tuple(replace(h, label=text) for h in assessment.crane.headroom),
            deductions=tuple((text, mass) for _, mass in assessment.crane.deductions),
        ),
        trial_lift=replace(assessment.trial_lift, serial=text),
    )


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=[] if name in {"markup", "emoji and controls"} else [pytest.mark.slow])
        for name in HOSTILE
    ],
)
def test_no_text_of_a_user_can_break_the_plan(passing: Assessment, name: str) -> None:
    texts = pages(render_lift_plan(everywhere(passing, HOSTILE[name])))
    assert "1 Load statement" in texts[1]
    assert "✓ PASS" in texts[0]
    if name == "markup":
        assert "#set text(red) $x^2$ *bold*" in texts[0]
    if name == "right to left":
        assert "U+05E9 hebrew letter shin" in " ".join(texts)


def test_the_code_on_each_page_names_plan_revision_and_hash(passing: Assessment) -> None:
    qr = plan_files(passing)["qr.svg"].decode()
    assert qr.startswith("<svg")
    assert len(re.findall("path", qr)) >= 1
    longest = replace(passing, identity=replace(passing.identity, lift_id="x" * 4000))
    assert plan_files(longest)["qr.svg"]


def example(path: Path):
    """Every lift and one refused variant in the quick tier, the other variants in the thorough one."""
    quick = path.stem in {"lift", "refused-radius"}
    return pytest.param(path, id=f"{path.parent.name}-{path.stem}", marks=[] if quick else [pytest.mark.slow])


@pytest.mark.parametrize("lift_file", [example(path) for path in sorted(EXAMPLES.glob("*/*.yaml"))])
def test_the_examples_become_plans(lift_file: Path) -> None:
    assessment = plumbhook.assess(plumbhook.load(lift_file))
    texts = pages(render_lift_plan(assessment))
    assert 12 <= len(texts) <= 40
    word = {Status.PASS: "✓ PASS", Status.FAIL: "× FAIL", Status.NOT_EVALUATED: "NOT EVALUATED"}[
        assessment.status
    ]
    assert word in texts[0]
    assert "1 Load statement" in texts[1]
    assert "No room in the drawings" not in " ".join(texts)
