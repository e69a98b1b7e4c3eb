"""Who takes part, what is known of the circumstances, and how the work is to be done, as the lift file says it."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from plumbhook.model.quantity import Date, Flag, Section, Text, Whole, refuse

ROLES = (
    "appointed person",
    "checking engineer",
    "lifting supervisor",
    "slinger-signaller",
    "crane operator",
    "load owner",
    "principal contractor",
    "lift director",
    "person in charge",
    "qualified person",
)
SITUATIONS = ("onshore", "inshore", "offshore")


def _one_of(words: tuple[str, ...], what: str) -> BeforeValidator:
    def read(raw: object) -> object:
        if isinstance(raw, str) and raw.strip().lower() in words:
            return raw.strip().lower()
        raise refuse(f'"{raw}" is not {what} that is known here; write one of: {", ".join(words)}')

    return BeforeValidator(read)


def _schema(words: tuple[str, ...]) -> dict[str, Any]:
    return {"type": "string", "enum": list(words)}


Role = Annotated[str, _one_of(ROLES, "a role"), Field(json_schema_extra=_schema(ROLES))]
Situation = Annotated[
    Literal["onshore", "inshore", "offshore"],
    _one_of(SITUATIONS, "a situation"),
]


class Person(Section):
    """Somebody with a role in the lift."""

    role: Role = Field(description="Role, as in the rule packs.")
    name: Text = Field(description="Name of the person.")
    authority: Text | None = Field(default=None, description="Certificate or appointment that allows it.")
    competent_until: Date | None = Field(default=None, description="Day on which that evidence expires.")


class Circumstances(Section):
    """What decides the category of the lift. Left out means: not stated, and is asked for where a rule needs it."""

    cranes: Whole | None = Field(default=None, description="How many cranes hold the load at once.")
    situation: Situation | None = Field(default=None, description="onshore, inshore or offshore.")
    people_lifted: Flag | None = Field(default=None, description="Whether people are lifted.")
    out_of_sight: Flag | None = Field(
        default=None, description="Whether the load leaves the view of the crane operator."
    )
    cog_changes: Flag | None = Field(
        default=None, description="Whether the centre of gravity moves during the lift."
    )
    leg_lengths_change: Flag | None = Field(
        default=None, description="Whether the length of a sling leg is changed during the lift."
    )
    floating_base: Flag | None = Field(
        default=None, description="Whether the crane stands on something afloat."
    )
    over_live_lines: Flag | None = Field(
        default=None, description="Whether the load passes over or between energised high-voltage lines."
    )
    near_power_lines: Flag | None = Field(
        default=None, description="Whether crane, rig or load can come near power lines."
    )
    submerged: Flag | None = Field(default=None, description="Whether the load is under water at any time.")
    hazards_near: Flag | None = Field(
        default=None, description="Whether there are hazards in the area: roads, railways, people, processes."
    )
    exceptional_site: Flag | None = Field(
        default=None, description="Whether the site is one of exceptional hazard."
    )
    unusual_rigging: Flag | None = Field(
        default=None, description="Whether the rigging is out of the ordinary or difficult."
    )
    operator_asks: Flag | None = Field(
        default=None, description="Whether the crane operator wants the lift treated as critical."
    )
    precast_panel: Flag | None = Field(
        default=None, description="Whether a precast or tilt-up panel is lifted."
    )
    bridge_beam: Flag | None = Field(default=None, description="Whether a bridge beam is lifted.")
    irreplaceable_load: Flag | None = Field(
        default=None, description="Whether the load cannot be replaced, or only at great cost or delay."
    )
    weight_or_cog_unsure: Flag | None = Field(
        default=None, description="Whether weight or centre of gravity is not readily known."
    )


class MethodNotes(Section):
    """How the work is done, in the planner's own words; no number of the plan is taken from here."""

    communication: Text | None = Field(default=None, description="Signals, radio, who speaks to whom.")
    exclusion_zone: Text | None = Field(
        default=None, description="Where nobody may be, and who keeps it free."
    )
    contingencies: tuple[Text, ...] = Field(
        default=(), description="What is done when something is not as planned."
    )
    emergency: Text | None = Field(default=None, description="Emergency plan, or where it is.")
    sequence: tuple[Text, ...] = Field(
        default=(), description="Steps in order; say 'hold:' where work stops."
    )
    release: Text | None = Field(
        default=None, description="How the load is made stable and secured before the slings go slack."
    )
    briefing: Text | None = Field(default=None, description="Who is briefed, when, and when again.")


class Relaxation(Section):
    """A rule of a pack that the plan does not keep, and who answers for it. Printed on the cover."""

    pack: Text = Field(description="Rule pack.")
    rule: Text = Field(description="Rule of that pack, e.g. tilt_limit.")
    because: Text = Field(description="Why the rule need not be kept here.")
    by: Text = Field(description="Who has the authority for that, by name and role.")
