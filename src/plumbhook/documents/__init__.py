"""Documents of a lift, made from an assessment alone: the lift plan as PDF and its drawings to scale."""

from plumbhook.documents.arrangement import arrangement_svg, draw_arrangement
from plumbhook.documents.lift_plan import PlanError, render_lift_plan
from plumbhook.documents.overlap import find_overlaps
from plumbhook.documents.svg import DrawingError, scene_to_svg

__all__ = [
    "DrawingError",
    "PlanError",
    "arrangement_svg",
    "draw_arrangement",
    "find_overlaps",
    "render_lift_plan",
    "scene_to_svg",
]
