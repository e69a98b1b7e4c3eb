"""Rule packs and people in an assessment."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PersonRow:
    """Somebody with a role in the lift; dates as they are written, "" where nothing is stated."""

    role: str
    name: str
    authority: str
    competent_until: str


@dataclass(frozen=True, slots=True)
class TriggerRow:
    """One condition that puts a lift into a category: ``holds`` is None where the file does not say."""

    words: str
    category: str
    holds: bool | None
    clause: str


@dataclass(frozen=True, slots=True)
class ContentRow:
    """One content that a rule pack asks of the plan, with what answers it ("" where nothing does)."""

    words: str
    clause: str
    answer: str


@dataclass(frozen=True, slots=True)
class RoleRow:
    """One role that a rule pack asks for, with the names that hold it."""

    role: str
    clause: str
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PackStatement:
    """What one rule pack makes of the lift: its category with the reasons, what it asks for, what is missing."""

    pack: str
    title: str
    category: str
    triggers: tuple[TriggerRow, ...]
    roles: tuple[RoleRow, ...]
    contents: tuple[ContentRow, ...]
