"""YAML (and JSON, which is YAML in the part accepted here) to plain values that remember their lines.

The tree is built from the parser's events, so a file that would nest without end, or repeat itself by
references, is refused before it costs anything. A plain word becomes a number, true, false or nothing only
where that loses nothing: ``317`` becomes a number, ``0317`` and ``1.10`` stay as they are written, and dates
and quantities stay text for the fields that read them.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    NodeEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from plumbhook.core.errors import InputError, Problem

Path = tuple[str | int, ...]

LARGEST_FILE_BYTES = 2_000_000
# The parser needs seconds for a megabyte, and a lift file has a few kilobytes.
LARGEST_YAML_BYTES = 500_000
DEEPEST = 50


# Control characters, those that turn the writing direction, halves of surrogate pairs, and what is no character.
_NO_TEXT = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]"
)


@dataclass(frozen=True, slots=True)
class YamlSource:
    """Plain values of a file, and where each of them stands.

    Attributes:
        data: mappings, lists, texts, numbers, true, false and None.
        lines: 1-based line of every value by its path of keys and 0-based positions; of a value in a mapping,
            the line of its key.
        problems: keys given twice; the first of them is kept.
        source: name of the file.
    """

    data: dict[str, Any]
    lines: dict[Path, int]
    problems: tuple[Problem, ...]
    source: str

    def line_of(self, path: Path) -> int | None:
        """Line of a path, or of the nearest thing around it that stands in the file."""
        for length in range(len(path), 0, -1):
            line = self.lines.get(path[:length])
            if line is not None:
                return line
        return None


def path_text(path: Path) -> str:
    """A path as a reader counts: ``load.parts[3].mass`` is the mass of the third part."""
    text = ""
    for step in path:
        if isinstance(step, int):
            text += f"[{step + 1}]"
        else:
            text += f".{step}" if text else step
    return text


def too_large(size: int, largest: int, source: str) -> InputError:
    """The error for a file of ``size`` bytes that may have ``largest``."""
    return InputError.one(
        f"the file has {size / 1e6:.1f} MB; a file of this kind has at most {largest / 1e6:.1f} MB, so check that "
        "it is the right file",
        source=source,
    )


def decode(raw: bytes, source: str = "") -> str:
    """The text of a file.

    Raises:
        InputError: it is not UTF-8.
    """
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise InputError.one(
            "this is not text in UTF-8; save the file as UTF-8 text", line=line, source=source
        ) from None


def read_yaml(text: str, source: str = "") -> YamlSource:
    """Read a YAML or JSON text whose top is a mapping.

    Args:
        text: the text.
        source: name of the file, for the messages.

    Raises:
        InputError: the text cannot be read, is empty, or uses what is refused (references, tags, several
            documents, nesting beyond 50 levels, more than 0.5 MB).
    """
    if len(text) > LARGEST_YAML_BYTES:
        raise too_large(len(text.encode()), LARGEST_YAML_BYTES, source)
    _refuse_characters(text, source)
    builder = _Builder(source)
    try:
        for event in _events(text):
            builder.take(event)
    except yaml.MarkedYAMLError as error:
        raise InputError((_syntax_problem(error, text, source),)) from None
    except (yaml.YAMLError, ValueError, OverflowError):
        # The parser itself stumbles over some escapes, such as a code beyond the last character.
        raise InputError.one(
            "this cannot be read as YAML; check the escapes (\\) in quoted texts", source=source
        ) from None
    if builder.refused:
        raise InputError(tuple(builder.refused))
    if builder.root is None:
        raise InputError.one('the file is empty; start it with "format: 1" and its sections', source=source)
    if not isinstance(builder.root, dict):
        raise InputError.one(
            'the file is not made of "key: value" lines; start it with "format: 1" and its sections',
            line=1,
            source=source,
        )
    return YamlSource(builder.root, builder.lines, tuple(builder.problems), source)


def _events(text: str) -> Iterator[Event]:
    events: Iterator[Event] = yaml.parse(text, Loader=yaml.SafeLoader)
    return events


def _refuse_characters(text: str, source: str) -> None:
    match = _NO_TEXT.search(text)
    if match:
        raise InputError.one(
            f"there is a control character (code {ord(match.group())}) that no text has; check that it is "
            "the right file and delete the character",
            line=text.count("\n", 0, match.start()) + 1,
            source=source,
        )


@dataclass
class _Open:
    """A mapping or list that is being read."""

    path: Path
    into: dict[str, Any] | list[Any]
    line: int
    key: str | None = None
    key_line: int = 0
    skip: bool = False


@dataclass
class _Builder:
    source: str
    root: Any = None
    documents: int = 0
    lines: dict[Path, int] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    refused: list[Problem] = field(default_factory=list)
    stack: list[_Open] = field(default_factory=list)

    def take(self, event: Event) -> None:
        """Take one event of the parser."""
        if isinstance(event, DocumentStartEvent):
            self._document(event)
        elif isinstance(event, MappingEndEvent | SequenceEndEvent):
            self.stack.pop()
        elif isinstance(event, NodeEvent):
            self._node(event)

    def _document(self, event: DocumentStartEvent) -> None:
        self.documents += 1
        if self.documents > 1 or event.tags:
            self._refuse(
                event, 'the file has several documents or directives; keep one, without "---" or "%" lines'
            )

    def _refuse(self, event: Event, message: str, path: Path = ()) -> None:
        # Once only for each reason: a file made of nonsense would otherwise list thousands.
        if all(problem.message != message for problem in self.refused):
            self.refused.append(Problem(path_text(path), message, _line(event), self.source))

    def _node(self, event: NodeEvent) -> None:
        line = _line(event)
        if isinstance(event, AliasEvent) or event.anchor is not None:
            self._refuse(
                event, "references (& and *) are not accepted; write the values out where they are used"
            )
        elif isinstance(event, ScalarEvent) and _NO_TEXT.search(event.value):
            self._refuse(event, "an escape (\\) stands for a character that no text has; take it out")
        elif getattr(event, "tag", None) is not None:
            self._refuse(event, "tags (!) are not accepted; write the plain value, or put the text in quotes")
        if self.stack and isinstance(self.stack[-1].into, dict) and self.stack[-1].key is None:
            self._key(event, line)
            return
        path, skip = self._place(line)
        if isinstance(event, ScalarEvent):
            self._store(_plain_value(event.value) if event.implicit[0] else event.value, skip)
        elif isinstance(event, MappingStartEvent | SequenceStartEvent):
            into: dict[str, Any] | list[Any] = {} if isinstance(event, MappingStartEvent) else []
            self._store(into, skip)
            self.stack.append(_Open(path, into, line, skip=skip))
            if len(self.stack) > DEEPEST:
                raise InputError.one(
                    f"the file nests more than {DEEPEST} levels deep; check its brackets and indentation",
                    line=line,
                    source=self.source,
                )
        else:
            self._store(None, skip)

    def _key(self, event: NodeEvent, line: int) -> None:
        top = self.stack[-1]
        if not isinstance(event, ScalarEvent):
            raise InputError.one(
                "a key must be one word or text, not a list, a block or a reference",
                line=line,
                source=self.source,
            )
        top.key, top.key_line = event.value, line

    def _place(self, line: int) -> tuple[Path, bool]:
        """Path of the node that comes now, and whether it is to be dropped because its key came before."""
        if not self.stack:
            return (), False
        top = self.stack[-1]
        if isinstance(top.into, list):
            path: Path = (*top.path, len(top.into))
            skip = top.skip
        else:
            assert top.key is not None
            path, line = (*top.path, top.key), top.key_line
            repeated = top.key in top.into
            if repeated and not top.skip:
                first = self.lines.get(path)
                self.problems.append(
                    Problem(
                        path_text(path),
                        f"this key is given twice, first on line {first}; keep one of the two",
                        line,
                        self.source,
                    )
                )
            skip = top.skip or repeated
        if not skip:
            self.lines[path] = line
        return path, skip

    def _store(self, value: object, skip: bool) -> None:
        if not self.stack:
            self.root = value
            return
        top = self.stack[-1]
        if isinstance(top.into, list):
            top.into.append(value)
            return
        key, top.key = top.key, None
        assert key is not None
        if not skip:
            top.into[key] = value


def _line(event: Event) -> int:
    """1-based line that an event starts on."""
    assert event.start_mark is not None  # events that come from a text have their marks
    return event.start_mark.line + 1


def _plain_value(word: str) -> str | int | float | bool | None:
    """A plain (unquoted) word as YAML 1.2's core schema reads it, as far as nothing is lost."""
    if word in ("", "~", "null"):
        return None
    if word in ("true", "false"):
        return word == "true"
    if re.fullmatch(r"-?\d{1,15}", word) and str(int(word)) == word:
        return int(word)
    if re.fullmatch(r"-?\d{1,15}\.\d{1,15}", word):
        number = float(word)
        if math.isfinite(number) and repr(number) == word:
            return number
    return word


_CURES: tuple[tuple[str, str], ...] = (
    (
        "mapping values are not allowed",
        "there is a second colon in this line; put the text that holds it in quotes",
    ),
    ("could not find expected ':'", "a key is not followed by a colon and a space"),
    ("expected ',' or ']'", "a list in square brackets is not closed, or lacks a comma between two items"),
    ("expected ',' or '}'", "a block in curly brackets is not closed, or lacks a comma between two entries"),
    ("unexpected end of stream", "a text in quotes is not closed"),
    ("expected <block end>", "the indentation does not fit the lines above; line the keys up"),
    ("expected the node content", "a value is missing or starts with a mark that needs quotes"),
    ("cannot start any token", "a text starts with a mark that needs quotes around the text"),
    ("unknown escape character", "a backslash stands in double quotes; use single quotes"),
    ("block sequence entries", "a dash that starts a list item is not on a line of its own"),
    ("undefined alias", "references (& and *) are not accepted; write the values out where they are used"),
    ("undefined tag", "tags (!) are not accepted; write the plain value, or put the text in quotes"),
)


def _syntax_problem(error: yaml.MarkedYAMLError, text: str, source: str) -> Problem:
    mark = error.problem_mark or error.context_mark
    line = None if mark is None else mark.line + 1
    tab = next(
        (number for number, content in enumerate(text.splitlines(), 1) if re.match(r"[ -]*\t", content)), None
    )
    if tab is not None and (line is None or tab <= line):
        message = "there is a tab before the text; YAML is indented by spaces only, so replace tabs by spaces"
        return Problem("", message, tab, source)
    what = error.problem or error.context or ""
    for found, cure in _CURES:
        if found in what:
            return Problem("", f"this cannot be read: {cure}", line, source)
    return Problem(
        "", "this cannot be read as YAML; check quotes, brackets, colons and indentation", line, source
    )
