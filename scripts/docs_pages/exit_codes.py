"""Reference of the exit codes."""

from __future__ import annotations

from collections.abc import Mapping
from enum import IntEnum

from docs_pages.markdown import document, generated_notice, table

MEANINGS: Mapping[str, str] = {
    "PASS": "Everything was evaluated, and everything passes. It is not a permission to lift.",
    "FAIL": "At least one check fails, or a published case disagrees.",
    "INPUT": "The input is wrong: each problem is one sentence with field and cure. No result was written.",
    "NOT_EVALUATED": "Something could not be evaluated, for instance as a value is missing. Not a pass.",
    "BUG": "An error of the program itself. No result may be used; the message says where a report is.",
}


def page() -> str:
    """The page of the exit codes of the command line."""
    from plumbhook.cli.exit_codes import ExitCode

    return page_of(ExitCode)


def page_of(codes: type[IntEnum]) -> str:
    """One row for each code.

    Raises:
        LookupError: a code is not explained here, or one is explained that does not exist.
    """
    if {code.name for code in codes} != set(MEANINGS):
        raise LookupError(f"the meanings in {__name__} and the codes of {codes.__name__} differ")
    rows = [(str(code.value), MEANINGS[code.name]) for code in sorted(codes)]
    return document(
        generated_notice("the exit codes of the command line"),
        "# Exit codes",
        "The same for every command, so that a script need not read the text. The worst wins.",
        table(("code", "meaning"), rows),
        "With `--json` the machine form is on standard output and everything for people on standard error, "
        "whatever the code.",
    )
