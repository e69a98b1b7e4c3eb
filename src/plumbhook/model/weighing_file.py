"""A weighing read from a file of its own, or from the lift file that it belongs to."""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from plumbhook.core.errors import InputError, Problem
from plumbhook.model._problems import problems_of
from plumbhook.model.files import read_text
from plumbhook.model.quantity import Section
from plumbhook.model.weighing import Weighing
from plumbhook.model.yaml_source import YamlSource, read_yaml


class _Weighed(Section):
    weighing: Weighing


class _File(Section):
    load: _Weighed


def parse_weighing(text: str, *, source: str = "") -> Weighing:
    """The weighing in a text: under the key ``weighing``, or under ``load.weighing`` of a lift file.

    Args:
        text: YAML or JSON.
        source: name of the file, for the messages.

    Raises:
        InputError: there is no weighing in it, or it is wrong; with every problem found.
    """
    tree = read_yaml(text, source)
    load = tree.data.get("load")
    if isinstance(load, dict) and "weighing" in load:
        raw, prefix = load["weighing"], ""
        lines = tree.lines
    elif "weighing" in tree.data:
        raw, prefix = tree.data["weighing"], "load."
        lines = {("load", *path): line for path, line in tree.lines.items()}
        unknown = [key for key in tree.data if key != "weighing"]
        if unknown:
            raise InputError.one(
                f'"{unknown[0]}" does not belong here: a file with the weighing alone has no other key; remove it',
                line=tree.line_of((unknown[0],)),
                source=source,
            )
    else:
        raise InputError.one(
            'there is no weighing in this file; write it under "weighing:", or under "load:" of a lift file',
            source=source,
        )
    whole = YamlSource({"load": {"weighing": raw}}, lines, tree.problems, source)
    problems = list(tree.problems)
    try:
        file = _File.model_validate(whole.data)
    except ValidationError as error:
        problems.extend(problems_of(error, whole))
        file = None
    if problems or file is None:
        raise InputError(
            tuple(Problem(p.field.removeprefix(prefix), p.message, p.line, p.source) for p in problems)
        )
    return file.load.weighing


def read_weighing(path: Path) -> Weighing:
    """Read a weighing from a file.

    Raises:
        InputError: as :func:`parse_weighing`; the file is not there, is too large or is no text.
    """
    return parse_weighing(read_text(path), source=str(path))
