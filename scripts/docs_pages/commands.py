"""Reference of the command line: the help of each command in plain text of fixed width, without colour."""

from __future__ import annotations

from typing import Any

from docs_pages.markdown import document, generated_notice

WIDTH = 100


def page() -> str:
    """The page of the ``plumbhook`` command."""
    from plumbhook.cli.main import app

    return page_of(app, "plumbhook")


def page_of(app: Any, program: str) -> str:  # noqa: ANN401  a typer application
    """Help of the program and of each of its commands, nested ones too.

    Raises:
        LookupError: a command has no help text.
    """
    import typer.main

    root = typer.main.get_command(app)
    sections = [
        document(f"## {path}", f"```text\n{text}\n```") for path, text in _walk(root, program, parent=None)
    ]
    return document(
        generated_notice("the help texts of the commands"),
        "# Commands",
        "What each command takes and does. Exit codes: see [exit-codes.md](exit-codes.md).",
        *sections,
    )


def _walk(command: Any, path: str, parent: Any) -> list[tuple[str, str]]:  # noqa: ANN401  typer's own classes
    if not command.help:
        raise LookupError(f"the command '{path}' has no help text")
    # Without its markup mode typer writes plain text instead of coloured boxes as wide as the terminal.
    command.rich_markup_mode = None
    context = command.context_class(
        command,
        info_name=path.rsplit(maxsplit=1)[-1],
        parent=parent,
        terminal_width=WIDTH,
        max_content_width=WIDTH,
    )
    found = [(path, _plain(command.get_help(context)))]
    for name, inner in sorted(getattr(command, "commands", {}).items()):
        if not inner.hidden:
            found += _walk(inner, f"{path} {name}", context)
    return found


def _plain(text: str) -> str:
    """Without trailing blanks; the control characters of typer's markup are none of the reader's business."""
    return "\n".join(line.rstrip() for line in text.replace("\b", "").strip().splitlines())
