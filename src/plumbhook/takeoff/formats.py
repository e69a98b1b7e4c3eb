"""Which format a file is in: by what it holds, which must agree with its name."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum

from plumbhook.core.errors import InputError

HEAD_BYTES = 16_384


@dataclass(frozen=True, slots=True)
class _Traits:
    suffixes: tuple[str, ...]
    has_unit: bool


class Format(Enum):
    """The formats that can be read."""

    STEP = _Traits((".step", ".stp", ".p21"), has_unit=True)
    IFC = _Traits((".ifc",), has_unit=True)
    GLTF = _Traits((".glb", ".gltf"), has_unit=True)
    STL = _Traits((".stl",), has_unit=False)
    OBJ = _Traits((".obj",), has_unit=False)
    PLY = _Traits((".ply",), has_unit=False)

    @property
    def has_unit(self) -> bool:
        """Whether files of this format say, or its standard says, in what unit they are."""
        return self.value.has_unit

    @property
    def word(self) -> str:
        """Its name as people write it."""
        return "glTF" if self is Format.GLTF else self.name


_BY_SUFFIX = {suffix: one for one in Format for suffix in one.value.suffixes}

_PACKED = (
    (b"PK\x03\x04", "a ZIP archive"),
    (b"PK\x05\x06", "a ZIP archive"),
    (b"\x1f\x8b", "packed with gzip"),
    (b"BZh", "packed with bzip2"),
    (b"\xfd7zXZ", "packed with xz"),
    (b"7z\xbc\xaf", "a 7z archive"),
    (b"\x28\xb5\x2f\xfd", "packed with zstd"),
    (b"Rar!", "a RAR archive"),
)
_STRANGE = (
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"MZ", "a program"),
    (b"\x7fELF", "a program"),
    (b"<?xml", "XML"),
    (b"<", "XML or a web page"),
)
_PART_21 = re.compile(rb"\s*(?:/\*.*?\*/\s*)*ISO-10303-21\s*;", re.DOTALL)
_SCHEMA = re.compile(rb"FILE_SCHEMA\s*\(\s*\(\s*'([^']*)'", re.IGNORECASE)
_OBJ_LINE = re.compile(rb"^(?:#|v |vn |vt |f |o |g |s |usemtl |mtllib |l |p |\s*$)", re.MULTILINE)


TAIL_BYTES = 4096
_END_OF_PART_21 = re.compile(rb"END-ISO-10303-21\s*;\s*(?:/\*.*?\*/\s*)*\0*\s*\Z", re.DOTALL)


def hold_end(kind: Format, tail: bytes, name: str) -> None:
    """Refuse a file that is cut short where its format has a mark at the end; what is missing is missing weight.

    Args:
        kind: its format.
        tail: its last :data:`TAIL_BYTES` bytes.
        name: name of the file.

    Raises:
        InputError: the mark is not there.
    """
    if kind in (Format.STEP, Format.IFC) and not _END_OF_PART_21.search(tail):
        raise InputError.one(
            f"the {kind.word} file does not end as it must (END-ISO-10303-21); it is cut short, export it again",
            source=name,
        )


def format_of(name: str, head: bytes, size: int) -> Format:
    """The format of a file, from its name and its first bytes.

    Args:
        name: name of the file.
        head: its first :data:`HEAD_BYTES` bytes.
        size: its size in bytes.

    Raises:
        InputError: the name has no ending of a known format, or the content is something else; says which.
    """
    if size == 0:
        raise InputError.one("the file is empty; export the model again", source=name)
    for mark, what in _PACKED:
        if head.startswith(mark):
            raise InputError.one(
                f"this is {what}, and packed files are not opened; unpack it and name the model in it",
                source=name,
            )
    ending = "." + name.rpartition(".")[2].lower() if "." in name else ""
    named = _BY_SUFFIX.get(ending)
    if named is None:
        endings = ", ".join(sorted(_BY_SUFFIX))
        raise InputError.one(
            f"the ending {ending or '(none)'} is none of a format that can be read; export as one of {endings}",
            source=name,
        )
    held = _content(head, size)
    if held is not named:
        raise InputError.one(_mismatch(named, held, head), source=name)
    return named


def _mismatch(named: Format, held: Format | None, head: bytes) -> str:
    if held is not None:
        return f"the name says {named.word}, but it holds {held.word}; give it the ending {held.value.suffixes[0]}"
    strange = next((what for mark, what in _STRANGE if head.lstrip().startswith(mark)), "something else")
    return f"the name says {named.word}, but it holds {strange}; export the model again as {named.word}"


def _content(head: bytes, size: int) -> Format | None:
    text = head.removeprefix(b"\xef\xbb\xbf")
    if _PART_21.match(text):
        schema = _SCHEMA.search(text)
        return (
            Format.IFC if schema is not None and schema.group(1).upper().startswith(b"IFC") else Format.STEP
        )
    if head.startswith(b"glTF"):
        return Format.GLTF
    if re.match(rb"ply\r?\n", head):
        return Format.PLY
    if len(head) >= 84 and size == 84 + 50 * int.from_bytes(head[80:84], "little"):
        return Format.STL
    if re.match(rb"\s*solid\b", text):
        return Format.STL
    if b"\0" in head:
        # A binary STL that is cut short has no mark of its own; its reader says so.
        return Format.STL if len(head) >= 84 and size > 84 and not _has_mark(head) else None
    if text.lstrip().startswith(b"{") and b'"' in text:
        return Format.GLTF
    lines = text.split(b"\n")[:-1][:40] or text.split(b"\n")
    if all(_OBJ_LINE.match(line) for line in lines) and re.search(rb"^v ", text, re.MULTILINE):
        return Format.OBJ
    return None


def _has_mark(head: bytes) -> bool:
    return any(head.startswith(mark) for mark, _ in _STRANGE)
