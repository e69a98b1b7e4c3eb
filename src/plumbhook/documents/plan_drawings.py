"""Every drawing of the lift plan, as SVG by name."""

from __future__ import annotations

from typing import Any

from plumbhook.documents.arrangement import SHEET_WIDTH_MM, draw_arrangement, outline_scene
from plumbhook.documents.crane_drawings import chart_scene, headroom_scene, trial_scene
from plumbhook.documents.ground_drawings import slew_scene, supports_scene
from plumbhook.documents.load_drawing import load_scene
from plumbhook.documents.scene import Scene
from plumbhook.documents.svg import scene_to_svg
from plumbhook.documents.way_drawing import way_scene
from plumbhook.planning.assessment import Assessment

_THUMBNAIL_MM = (52.0, 64.0)
_LOAD_TALLEST_MM = 104.0
_CHART_MM = (84.0, 62.0)
_HEADROOM_MM = (82.0, 194.0)
_GROUND_SLEW_MM = (94.0, 60.0)
_GROUND_PLAN_MM = (74.0, 90.0)


def plan_drawings(assessment: Assessment) -> tuple[dict[str, str], dict[str, Any]]:
    """The drawings by file name without ending, and what the template must know of the arrangement.

    Raises:
        DrawingError: a text touches something.
        ArrangementError: the rig cannot be drawn at any scale.
    """
    arrangement = draw_arrangement(assessment)
    thumbnail = outline_scene(assessment, *_THUMBNAIL_MM)
    scenes: dict[str, Scene] = {
        "thumbnail": thumbnail,
        "load": load_scene(assessment, SHEET_WIDTH_MM, _LOAD_TALLEST_MM),
    }
    sheets = []
    for index, (scene, letters) in enumerate(zip(arrangement.sheets, arrangement.views, strict=True), 1):
        scenes[f"arrangement-{index}"] = scene
        sheets.append(
            {
                "file": f"arrangement-{index}.svg",
                "alt": f"Views {', '.join(letters)} of the rig, 1:{arrangement.scale}",
            }
        )
    if assessment.crane is not None:
        scenes["chart"] = chart_scene(assessment.crane, *_CHART_MM)
        scenes["headroom"] = headroom_scene(assessment, *_HEADROOM_MM)
    if assessment.ground is not None:
        scenes["ground-slew"] = slew_scene(assessment.ground, *_GROUND_SLEW_MM)
        scenes["ground-plan"] = supports_scene(assessment.ground, *_GROUND_PLAN_MM)
    if assessment.trial_lift is not None:
        scenes["trial"] = trial_scene(assessment.trial_lift, SHEET_WIDTH_MM)
    if assessment.way is not None:
        scenes["way"] = way_scene(assessment.way, SHEET_WIDTH_MM)
    drawings = {name: scene_to_svg(scene) for name, scene in scenes.items()}
    return drawings, {
        "sheets": sheets,
        "scale": f"1:{arrangement.scale}",
        "left_out": ", ".join(arrangement.left_out),
    }
