"""Small pieces of Markdown shared by the pages."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

_ROLE = re.compile(r":[a-z]+:`~?([^`]+)`")
_SECTION = re.compile(r"^(Args|Attributes|Returns|Yields|Raises|Example|Examples|Note|Notes):$")
_ITEM = re.compile(r"^(\*{0,2}[\w.]+)(?: \([^)]*\))?: (.*)$")


def generated_notice(source: str) -> str:
    """The line at the head of a page that says not to edit it."""
    return f"<!-- Written by `make docs` from {source}; edit that, not this page. -->"


def slug(heading: str) -> str:
    """Anchor of a heading as the usual renderers make it."""
    kept = re.sub(r"[^\w\- ]", "", heading.lower())
    return kept.replace(" ", "-")


def cell(text: str) -> str:
    """Text that may stand in a table cell: one line, no bare pipe."""
    return " ".join(text.split()).replace("|", "\\|")


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table; cells are made safe here."""
    lines = ["| " + " | ".join(head) + " |", "|" + " --- |" * len(head)]
    lines += ["| " + " | ".join(cell(text) for text in row) + " |" for row in rows]
    return "\n".join(lines)


def document(*blocks: str) -> str:
    """Join blocks with one empty line between and one line end at the close; empty blocks drop out."""
    return "\n\n".join(block.strip("\n") for block in blocks if block.strip()) + "\n"


def inline(text: str) -> str:
    """Turn the inline marks of docstrings into Markdown."""
    return _ROLE.sub(r"`\1`", text).replace("``", "`")


def from_docstring(docstring: str) -> str:
    """Render a cleaned Google-style docstring: prose as it is, sections as lists, examples as code."""
    blocks: list[str] = []
    prose: list[str] = []
    lines = docstring.splitlines()
    index = 0
    while index < len(lines):
        match = _SECTION.match(lines[index])
        if not match:
            prose.append(lines[index])
            index += 1
            continue
        body, index = _indented(lines, index + 1)
        blocks += [_prose(prose), _section(match.group(1), body)]
        prose = []
    return "\n\n".join(block for block in [*blocks, _prose(prose)] if block)


def _indented(lines: Sequence[str], start: int) -> tuple[list[str], int]:
    """The indented block from ``start``, without its indent, and the index of the line after it."""
    end = start
    while end < len(lines) and (not lines[end].strip() or lines[end].startswith(" ")):
        end += 1
    block = lines[start:end]
    indent = min((len(line) - len(line.lstrip()) for line in block if line.strip()), default=0)
    return [line[indent:] for line in block], end


def _prose(lines: Sequence[str]) -> str:
    """Paragraphs as they are; an indented block becomes code."""
    blocks: list[str] = []
    for paragraph in re.split(r"\n\s*\n", "\n".join(lines).strip("\n")):
        if not paragraph.strip():
            continue
        is_code = all(line.startswith("    ") for line in paragraph.splitlines())
        if is_code:
            code = "\n".join(line[4:] for line in paragraph.splitlines())
            blocks.append(f"```text\n{code}\n```")
        else:
            blocks.append(re.sub(r"::$", ":", inline(paragraph)))
    return "\n\n".join(blocks)


def _section(name: str, body: Sequence[str]) -> str:
    if name in {"Example", "Examples"}:
        return "**Example**\n\n```python\n" + "\n".join(body).strip("\n") + "\n```"
    if name in {"Returns", "Yields", "Note", "Notes"}:
        return f"**{name}** " + inline(" ".join(" ".join(body).split()))
    return f"**{name}**\n\n" + "\n".join(_items(body))


def _items(body: Sequence[str]) -> list[str]:
    """``name: text`` entries as a list; a line that opens no entry continues the one before it."""
    items: list[str] = []
    for line in body:
        match = None if line.startswith(" ") else _ITEM.match(line)
        if match:
            items.append(f"- `{match.group(1)}`: {inline(match.group(2))}")
        elif line.strip() and items:
            items[-1] += " " + inline(line.strip())
        elif line.strip():
            items.append(f"- {inline(line.strip())}")
    return items
