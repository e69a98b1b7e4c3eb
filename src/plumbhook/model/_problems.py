"""What pydantic found wrong, as sentences with the line and the field as the user wrote it."""

from __future__ import annotations

import difflib
import types
import typing
from collections.abc import Mapping, Sequence

from pydantic import ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from plumbhook.core.errors import Problem
from plumbhook.model.lift_file import LiftFile
from plumbhook.model.quantity import Quantity, Section
from plumbhook.model.yaml_source import Path, YamlSource, path_text

_BLOCK = 'this must be a block of "key: value" lines'


def nearest(word: str, known: Sequence[str]) -> str:
    """The known word that was most likely meant; "" if none is near."""
    by_case = [one for one in known if one.lower() == word.lower()]
    near = by_case or difflib.get_close_matches(word, known, n=1, cutoff=0.6)
    if near:
        return near[0]
    return next((one for one in known if len(one) > 3 and (word.startswith(one) or one.startswith(word))), "")


def problems_of(error: ValidationError, tree: YamlSource, root: type[Section] = LiftFile) -> list[Problem]:
    """Every error as a problem; a missing key is not reported where a misspelt one beside it was meant.

    Args:
        error: what pydantic found.
        tree: the file.
        root: model of the whole file.
    """
    problems: list[Problem] = []
    meant: set[Path] = set()
    details = error.errors(include_url=False)
    for detail in details:
        if detail["type"] == "extra_forbidden":
            path: Path = detail["loc"]
            message, suggestion = _unknown_key(path, tree, root)
            problems.append(_problem(path, message, tree))
            meant.add((*path[:-1], suggestion))
    for detail in details:
        path = detail["loc"]
        if detail["type"] == "extra_forbidden" or path in meant or _only_follows(detail, details):
            continue
        problems.append(_one(path, detail, tree, root))
    return list(dict.fromkeys(problems))


def _only_follows(detail: ErrorDetails, details: Sequence[ErrorDetails]) -> bool:
    """Whether a list counts as too short only because its entries are wrong, which is reported by itself."""
    here = detail["loc"]
    return detail["type"] == "too_short" and any(
        len(other["loc"]) > len(here) and other["loc"][: len(here)] == here for other in details
    )


def _one(path: Path, detail: ErrorDetails, tree: YamlSource, root: type[Section]) -> Problem:
    if path and path[-1] == "[key]":
        return _problem(path[:-1], detail["msg"], tree)
    if detail["type"] == "missing":
        if isinstance(path[-1], int):
            return _problem(path[:-1], _list_message(path[:-1], root), tree)
        return _problem(path, _missing(path, root), tree)
    written = _written(path, tree.data)
    return _problem(written, _message(written, detail, root), tree)


def _problem(path: Path, message: str, tree: YamlSource) -> Problem:
    return Problem(path_text(path), message, tree.line_of(path), tree.source)


def _written(path: Path, data: object) -> Path:
    """The part of a path that stands in the file; an entry of a line has steps of its own below it."""
    for length, step in enumerate(path):
        inside = _step(data, step)
        if inside is _NOTHING:
            return path[:length]
        data = inside
    return path


_NOTHING = object()


def _value(path: Path, data: object) -> object:
    """What stands at a path, None where nothing does."""
    for step in path:
        data = _step(data, step)
    return None if data is _NOTHING else data


def _step(data: object, step: str | int) -> object:
    """What stands one step further in, :data:`_NOTHING` where nothing does."""
    if isinstance(data, Mapping):
        return data.get(step, _NOTHING)
    if isinstance(data, list) and isinstance(step, int) and 0 <= step < len(data):
        return data[step]
    return _NOTHING


def _message(path: Path, detail: ErrorDetails, root: type[Section]) -> str:
    kind, given = detail["type"], detail["input"]
    if kind in {"model_type", "model_attributes_type", "dict_type"}:
        return f"{_BLOCK}, and there is nothing here" if given is None else _BLOCK
    if kind == "tuple_type":
        return f"this must be a list: {_list_message(path, root)}"
    if kind in {"too_long", "too_short"}:
        return _list_message(path, root)
    if kind == "literal_error":
        return _not_one_of(path, str(given), root)
    if kind in {"bool_type", "bool_parsing"}:
        return "write true or false"
    return detail["msg"]


def _not_one_of(path: Path, given: str, root: type[Section]) -> str:
    field = _field(path, root)
    words = [str(word) for word in _literals(field.annotation)] if field else []
    near = nearest(given, words)
    hint = f'did you mean "{near}"? ' if near else ""
    return f'"{given}" is not accepted here; {hint}Write one of: {", ".join(words)}'


def _literals(annotation: object) -> tuple[object, ...]:
    if typing.get_origin(annotation) is typing.Literal:
        return typing.get_args(annotation)
    return tuple(word for argument in typing.get_args(annotation) for word in _literals(argument))


def _list_message(path: Path, root: type[Section]) -> str:
    annotation = _annotation(path, root)
    arguments = [one for one in typing.get_args(annotation) if one is not Ellipsis]
    if len(arguments) == 3:
        return 'write three values in square brackets, as in "[1.05 m, 0 m, 2.50 m]"'
    if len(arguments) == 2 and typing.get_origin(annotation) is tuple:
        return "write exactly two values in square brackets"
    return "write at least one entry here"


def _missing(path: Path, root: type[Section]) -> str:
    field = _field(path, root)
    if field is None:
        return "this key is missing; add it"
    what = (field.description or "").rstrip(".")
    reason = f" ({what[:1].lower()}{what[1:]})" if what else ""
    example = _example(field)
    cure = f'add it, for instance "{path[-1]}: {example}"' if example else "add it"
    return f"this key is missing{reason}; {cure}"


def _example(field: FieldInfo) -> str:
    if field.examples:
        return str(field.examples[0])
    return next((mark.kind.example for mark in field.metadata if isinstance(mark, Quantity)), "")


def _unknown_key(path: Path, tree: YamlSource, root: type[Section]) -> tuple[str, str]:
    """The sentence about a key that is not known, and the known key that was meant ("" if unclear)."""
    model = _annotation(path[:-1], root)
    known = _keys(model) if isinstance(model, type) and issubclass(model, Section) else []
    if "serials" in known:
        known = ["item", "leg", "length"]
    free = [key for key in known if _value((*path[:-1], key), tree.data) is None]
    near = nearest(str(path[-1]), free)
    if near:
        return f'this key is not known; did you mean "{near}"?', near
    return f"this key is not known here; known are {', '.join(known)}", ""


def _keys(model: type[Section]) -> list[str]:
    return [field.alias or name for name, field in model.model_fields.items()]


def _field(path: Path, root: type[Section]) -> FieldInfo | None:
    """The field of the model that a path leads to; None where it leads into a list or mapping of names."""
    model = _annotation(path[:-1], root)
    if not (isinstance(model, type) and issubclass(model, Section)):
        return None
    for name, field in model.model_fields.items():
        if path[-1] == (field.alias or name):
            return field
    return None


def _annotation(path: Path, root: type[Section]) -> object:
    """Type of what stands at a path, without None and without marks; None where it is not known."""
    here: object = root
    for length in range(1, len(path) + 1):
        here = _bare(here)
        if isinstance(here, type) and issubclass(here, Section):
            field = _field(path[:length], root)
            here = None if field is None else field.annotation
        elif typing.get_origin(here) is tuple:
            here = typing.get_args(here)[0]
        elif typing.get_origin(here) is dict:
            here = typing.get_args(here)[1]
        else:
            return None
    return _bare(here)


def _bare(annotation: object) -> object:
    while True:
        origin = typing.get_origin(annotation)
        if origin is typing.Annotated:
            annotation = typing.get_args(annotation)[0]
        elif origin in (typing.Union, types.UnionType):
            annotation = next(one for one in typing.get_args(annotation) if one is not type(None))
        else:
            return annotation
