"""Rule packs: what a code or authority asks of a lift, as data. Several may be active; each is shown by itself.

A pack sets categories with what triggers them, limits on the rules of the plan, roles, and contents of the plan,
each with its clause and how sure the clause is.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Annotated, Any, Literal

import yaml
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.errors import InputError
from plumbhook.core.units import Kind, parse_quantity

_FOLDER = ("data", "rule_packs")
_CONTENTS = "contents.yaml"
_QUALITY = {"published": SourceQuality.PUBLISHED, "from memory": SourceQuality.FROM_MEMORY}
TABLE_5_1 = "0027/ND Table 5-1"


def _share(raw: object) -> float:
    return parse_quantity(str(raw), Kind.RATIO)


class _Row(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    document: str
    edition: str = ""
    clause: str = ""
    quality: Literal["published", "from memory"] = "published"

    @property
    def source(self) -> Clause:
        """The clause with how sure it is."""
        return Clause(self.document, self.edition, self.clause, _QUALITY[self.quality])


class Trigger(_Row):
    """What puts a lift into a category.

    Attributes:
        category: one of the pack's categories.
        when: a condition that :mod:`plumbhook.planning.rule_packs` can decide.
        value: share above which the condition holds, where it has one.
    """

    category: str
    when: str
    value: Annotated[float, BeforeValidator(_share)] | None = None


class Limit(_Row):
    """A bound on a rule of the plan: a text with its unit, or the name of a table."""

    rule: str
    at_least: str | None = None
    at_most: str | None = None


class RequiredRole(_Row):
    """A role that somebody must hold."""

    role: str


class RequiredItem(_Row):
    """A content that the plan must have, from a category upwards."""

    item: str
    from_category: str = Field(alias="from")
    when: str | None = None


class RulePack(BaseModel):
    """One code or authority.

    Attributes:
        pack: its key in the lift file.
        title: its name.
        categories: from the least to the most demanding.
        usual_category: where nothing is triggered.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    pack: str
    title: str
    categories: tuple[str, ...]
    usual_category: str
    triggers: tuple[Trigger, ...]
    limits: tuple[Limit, ...]
    roles: tuple[RequiredRole, ...]
    contents: tuple[RequiredItem, ...]


class ContentItem(BaseModel):
    """A content of a lift plan in words, and what answers it."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    words: str
    answered_by: str


@cache
def rule_pack_names() -> tuple[str, ...]:
    """Keys of every rule pack there is, sorted."""
    folder = files("plumbhook").joinpath(*_FOLDER)
    return tuple(
        sorted(
            entry.name.removesuffix(".yaml")
            for entry in folder.iterdir()
            if entry.name.endswith(".yaml") and entry.name != _CONTENTS
        )
    )


@cache
def rule_pack(name: str) -> RulePack:
    """A rule pack by its key.

    Raises:
        InputError: there is none of that name; lists those there are.
    """
    if name not in rule_pack_names():
        raise InputError.one(
            f"there is no rule pack {name!r}; there are: {', '.join(rule_pack_names())}", field="rules.packs"
        )
    return RulePack.model_validate(_yaml(f"{name}.yaml"))


@cache
def content_items() -> dict[str, ContentItem]:
    """Contents of a lift plan by key."""
    return {key: ContentItem.model_validate(value) for key, value in _yaml(_CONTENTS).items()}


def _yaml(name: str) -> Any:  # noqa: ANN401 - whatever the file holds is validated by the caller
    text = files("plumbhook").joinpath(*_FOLDER, name).read_text(encoding="utf-8")
    return yaml.safe_load(text)
