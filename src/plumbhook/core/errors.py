"""Errors a user can act on: one human sentence that names the field and the cure.

The command line maps them to exit codes (0 pass, 1 a check fails, 2 wrong input, 3 not evaluated,
4 a bug); nothing here knows about files, terminals or the web.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with an input.

    Attributes:
        field: path of the field as the user wrote it, e.g. ``load.parts[3].mass``; "" for the whole input.
        message: one sentence that says what is wrong and what to do about it.
        line: 1-based line in the file, or None where there is no file.
        source: the file or input the line belongs to ("" for the lift file itself).
    """

    field: str
    message: str
    line: int | None = None
    source: str = ""

    def __str__(self) -> str:
        where = self.source
        if self.line is not None:
            where = f"{where}, line {self.line}" if where else f"line {self.line}"
        parts = [part for part in (where, self.field) if part]
        return f"{': '.join(parts)}: {self.message}" if parts else self.message


class PlumbhookError(Exception):
    """Base of every error that Plumbhook raises on purpose."""


@dataclass
class InputError(PlumbhookError):
    """The input is wrong; carries every problem found, not only the first."""

    problems: tuple[Problem, ...] = field(default_factory=tuple)

    def __post_init__(self) -> None:
        if not self.problems:
            raise ValueError("an InputError needs at least one problem")
        super().__init__(str(self))

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)

    @classmethod
    def one(cls, message: str, *, field: str = "", line: int | None = None, source: str = "") -> InputError:
        """Build an error of a single problem."""
        return cls((Problem(field=field, message=message, line=line, source=source),))


class NotEvaluatedError(PlumbhookError):
    """Something needed for the answer could not be evaluated (missing value, solver did not converge)."""


class AuditError(PlumbhookError):
    """A printed formula and the computed number disagree: a bug, never shown as a result."""
