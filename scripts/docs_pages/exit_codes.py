"""Reference of the exit codes."""

from __future__ import annotations

from docs_pages.markdown import document, generated_notice, table


def page() -> str:
    """The page of the exit codes, from the enumeration that the command line returns."""
    from plumbhook.cli.exit_codes import ExitCode

    rows = [(str(code.value), code.meaning) for code in ExitCode]
    return document(
        generated_notice("the exit codes of the command line"),
        "# Exit codes",
        "The same for every command, so that a script need not read the text.",
        table(("code", "meaning"), rows),
        "With `--json` the machine form is on standard output and everything for people on standard error, "
        "whatever the code.",
    )
