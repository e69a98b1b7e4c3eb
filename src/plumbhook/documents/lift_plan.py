"""The lift plan as PDF/A-2b, made from an assessment alone.

Equal assessments give equal bytes: the document date is the date of the lift, the fonts are those of the package, and
nothing is read from the machine. Text of the user reaches the typesetter as data and is never part of its source.
"""

from __future__ import annotations

import datetime
import importlib.resources
import io
import json
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import segno
import typst

from plumbhook.core.audit import require_audit
from plumbhook.core.errors import PlumbhookError
from plumbhook.documents.fonts import font_files, missing_characters, printable
from plumbhook.documents.numbers import hash_in_fours
from plumbhook.documents.plan_drawings import plan_drawings
from plumbhook.documents.sheets.closing import closing
from plumbhook.documents.sheets.cover import cover
from plumbhook.documents.sheets.crane import crane
from plumbhook.documents.sheets.load import load
from plumbhook.documents.sheets.path import methods, path
from plumbhook.documents.sheets.rig import rig
from plumbhook.documents.sheets.workings import register, workings
from plumbhook.planning.assessment import Assessment

_LONGEST_RUN = 7
_LONGEST_WORD = 24
_BREAK = "\u200b"  # an unseen place where a long word may be broken
_LONGEST_QR_PART = 80
_NO_DATE = datetime.date(1970, 1, 1)
_UNBROKEN = frozenset({"document_title", "author", "qr_text", "alt", "file", "key", "state"})


class PlanError(PlumbhookError):
    """The plan could not be set: a bug in a template or a drawing, never the user's mistake."""


def render_lift_plan(assessment: Assessment) -> bytes:
    """Set the lift plan.

    Args:
        assessment: everything the plan may show.

    Returns:
        A PDF/A-2b file, A4; the same bytes for the same assessment.

    Raises:
        AuditError: a printed formula does not give its number.
        DrawingError: a text in a drawing would touch something.
        PlanError: the typesetter reports an error or a warning.
    """
    require_audit(assessment.checks)
    return _compile(plan_files(assessment))


def plan_files(assessment: Assessment) -> dict[str, bytes]:
    """Everything the typesetter reads: templates, data and drawings by file name."""
    drawings, sheets = plan_drawings(assessment)
    data = _data(assessment, sheets)
    files = {f"{name}.svg": svg.encode() for name, svg in drawings.items()}
    files["qr.svg"] = _qr(assessment)
    files["data.json"] = json.dumps(data, ensure_ascii=False, sort_keys=True, allow_nan=False).encode()
    folder = importlib.resources.files("plumbhook.documents") / "templates" / "lift_plan"
    for template in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if template.name.endswith(".typ"):
            files[template.name] = template.read_bytes()
    return files


def _data(assessment: Assessment, sheets: dict[str, Any]) -> dict[str, Any]:
    data: dict[str, Any] = {
        "meta": _meta(assessment),
        "cover": cover(assessment),
        "load": load(assessment),
        "rig": {**rig(assessment), **sheets},
        "path": path(assessment),
        "methods": methods(assessment),
        "register": register(assessment),
        "workings": workings(assessment),
        "crane": crane(assessment),
    }
    data["closing"] = closing(assessment, missing_characters(_texts(data)))
    return {key: _clean(value) for key, value in data.items()}


def _meta(assessment: Assessment) -> dict[str, Any]:
    who = assessment.identity
    invented = " Invented demo data: nothing in it exists." if who.invented else ""
    return {
        "id": _short(who.lift_id, 28),
        "revision": _short(who.revision, 12),
        "title": who.title,
        "document_title": f"Lift plan {who.lift_id}, revision {who.revision}: {who.title}",
        "author": who.planned_by,
        "date": _date(who.date),
        "hash": hash_in_fours(assessment.content_hash),
        "tool": f"Plumbhook {assessment.tool_version}",
        "invented": who.invented,
        "status_word": assessment.status.value.replace("_", " "),
        "footer": f"{_short(who.site, 30)}, {_short(who.title, 44)}.{invented}",
        "qr_text": f"Code of {_short(who.lift_id, 40)}, revision {_short(who.revision, 12)}",
    }


def _date(text: str) -> dict[str, int]:
    """The date of the lift for the file's own record, which must have one; the text itself is printed as it is."""
    try:
        day = datetime.date.fromisoformat(text)
    except ValueError:
        day = _NO_DATE
    return {"year": day.year, "month": day.month, "day": day.day}


def _qr(assessment: Assessment) -> bytes:
    who = assessment.identity
    names = (printable(text)[:_LONGEST_QR_PART] for text in (who.lift_id, who.revision))
    parts = (*names, assessment.content_hash[:12])
    out = io.BytesIO()
    segno.make("/".join(parts), error="m", micro=False).save(
        out, kind="svg", border=1, xmldecl=False, svgns=True, unit="mm"
    )
    return out.getvalue()


def _clean(value: object, key: str = "") -> object:
    """Replace what cannot be set, and give long words places to break; formulas are left as they are."""
    match value:
        case str() if key.startswith("math"):
            return value
        case str():
            return printable(value) if key in _UNBROKEN else _breakable(printable(value))
        case dict():
            return {name: _clean(part, name) for name, part in value.items()}
        case list() | tuple():
            return [_clean(part, key) for part in value]
        case _:
            return value


def _breakable(text: str) -> str:
    words = []
    for word in text.split(" "):
        runs = [word[i : i + _LONGEST_RUN] for i in range(0, len(word), _LONGEST_RUN)]
        words.append(_BREAK.join(runs) if len(word) > _LONGEST_WORD else word)
    return " ".join(words)


def _short(text: str, longest: int) -> str:
    return text if len(text) <= longest else text[: longest - 1].rstrip() + "…"


def _texts(value: object, key: str = "") -> Iterator[str]:
    match value:
        case str() if not key.startswith("math"):
            yield value
        case dict():
            for name, part in value.items():
                yield from _texts(part, name)
        case list() | tuple():
            for part in value:
                yield from _texts(part, key)
        case _:
            return


def _compile(files: dict[str, bytes]) -> bytes:
    with tempfile.TemporaryDirectory(prefix="plumbhook-plan-") as name:
        source, fonts = Path(name) / "source", Path(name) / "fonts"
        source.mkdir()
        fonts.mkdir()
        for file_name, content in files.items():
            (source / file_name).write_bytes(content)
        for font in font_files():
            shutil.copyfile(font, fonts / font.name)
        try:
            pdf, warnings = typst.compile_with_warnings(
                str(source / "main.typ"),
                root=str(source),
                font_paths=[str(fonts)],
                ignore_system_fonts=True,
                pdf_standards=["a-2b"],
                format="pdf",
            )
        except typst.TypstError as error:
            raise PlanError(f"the plan could not be set: {error.message}\n{error.diagnostic}") from error
    if warnings:
        raise PlanError("the plan was set with warnings: " + "; ".join(str(w.message) for w in warnings))
    return pdf
