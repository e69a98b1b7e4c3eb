"""`plumbhook weigh`: a statement, a claim to paste, and a sentence where the readings make no sense."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import yaml
from tests.cli.running import plumbhook

from plumbhook.core.resources import examples_dir
from plumbhook.model.files import parse_lift
from plumbhook.model.load import cog_m, mass_kg

WEIGHING = """\
weighing:
  source: four cells under the skid, record W-12
  state: vessel and exchanger drained
  instrument: {accuracy_of_reading: 0.5 %, division: 5 kg, tare: 12 kg}
  position_accuracy: 5 mm
  supports:
    A: [0.60 m, -1.20 m, 0 m]
    B: [0.60 m, 1.20 m, 0 m]
    C: [8.60 m, -1.20 m, 0 m]
    D: [8.60 m, 1.20 m, 0 m]
  level: {A: 4700 kg, B: 4865 kg, C: 3610 kg, D: 3735 kg}
  tilted:
    - {raised: x+, angle: 6 deg, angle_accuracy: 0.05 deg, readings: {A: 4815 kg, B: 4980 kg, C: 3500 kg, D: 3615 kg}}
  hook: {reading: 19.0 t, accuracy: 1 %, tare: 2.146 t}
"""


def write(folder: Path, text: str) -> Path:
    file = folder / "weighing.yaml"
    file.write_text(text, encoding="utf-8")
    return file


def test_the_claim_it_prints_can_be_read_as_part_of_a_lift(tmp_path, monkeypatch, capsys) -> None:
    ran = plumbhook(monkeypatch, capsys, "weigh", write(tmp_path, WEIGHING), "--json")
    assert ran.code == 0
    answer = json.loads(ran.out)
    assert answer["result"]["mass_kg"] == pytest.approx(16_862, abs=1.0)
    assert len(answer["result"]["covariance"]) == 4
    claim = yaml.safe_load(answer["claim"])
    assert claim["weight"]["mass"] == "16861.8 kg"
    assert claim["cog"] == ["4.0734 m", "0.0203 m", "1.0382 m"]
    assert claim["cog_box"]["z"] == "183 mm"
    text = (examples_dir() / "marrow-lane" / "lift.yaml").read_text(encoding="utf-8")
    before, rest = text.split("  weight:\n", 1)
    after = rest[rest.index("  envelope:\n") :]
    pasted = "".join(f"  {line}\n" for line in answer["claim"].splitlines())
    lift = parse_lift(
        before + pasted + "  can_move: nothing\n" + after,
        read_text=lambda name: (examples_dir() / "marrow-lane" / name).read_text(encoding="utf-8"),
    )
    assert cog_m(lift.file.load) == (4.0734, 0.0203, 1.0382)
    assert mass_kg(lift.file.load) == 16861.8


def test_the_statement_shows_its_working(tmp_path, monkeypatch, capsys) -> None:
    ran = plumbhook(monkeypatch, capsys, "weigh", write(tmp_path, WEIGHING))
    assert ran.code == 0
    for words in (
        "mass",
        "Working, by plain sums",
        "W = R_1 + R_2 + R_3 + R_4",
        "sum of the supports against the hook",
        "To paste into the lift file",
        "cog_box:",
    ):
        assert words in ran.out


def test_a_lift_file_with_a_weighing_is_taken_too(tmp_path, monkeypatch, capsys) -> None:
    inside = "format: 1\nload:\n" + "".join(f"  {line}\n" for line in WEIGHING.splitlines())
    ran = plumbhook(monkeypatch, capsys, "weigh", write(tmp_path, inside), "--json")
    assert ran.code == 0


def test_level_readings_alone_leave_the_height_a_question(tmp_path, monkeypatch, capsys) -> None:
    level = WEIGHING[: WEIGHING.index("  tilted:")]
    ran = plumbhook(monkeypatch, capsys, "weigh", write(tmp_path, level))
    assert ran.code == 0
    assert "not found" in ran.out
    assert "z was not found: no cog to paste" in ran.out.replace("\n", " ")
    assert "No reading is to spare" in ran.out
    assert "NaN" not in plumbhook(monkeypatch, capsys, "weigh", tmp_path / "weighing.yaml").out


BAD = {
    "weighing.level.D": WEIGHING.replace("D: 3735 kg", "D: 3735 kN"),
    "weighing: the supports sum to": WEIGHING.replace("19.0 t", "21.0 t"),
    "a support can only push": WEIGHING.replace("D: 3735 kg", "D: -3735 kg"),
    "lie on one line": WEIGHING.replace("1.20 m", "0.00 m"),
    "there is no weighing in this file": "load: {name: x}\n",
    '"place" does not belong here': WEIGHING + "place: x\n",
    "weighing.instrument: this key is missing": WEIGHING.replace(
        "  instrument: {accuracy_of_reading: 0.5 %, division: 5 kg, tare: 12 kg}\n", ""
    ),
    'did you mean "position_accuracy"': WEIGHING.replace("position_accuracy", "position_acuracy"),
    "the file is empty": "",
    "no such file": None,
}


@pytest.mark.parametrize("sentence", BAD)
def test_what_is_wrong_is_one_sentence_with_its_line(sentence, tmp_path, monkeypatch, capsys) -> None:
    text = BAD[sentence]
    file = tmp_path / "weighing.yaml" if text is None else write(tmp_path, text)
    ran = plumbhook(monkeypatch, capsys, "weigh", file)
    assert ran.code == 2
    assert sentence in ran.err.replace("\u00a0", " ")
    assert "Traceback" not in ran.err
    assert ran.out == ""
