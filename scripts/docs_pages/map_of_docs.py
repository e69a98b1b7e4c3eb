"""The map of the docs: every page by kind, with its title and what its first paragraph says."""

from __future__ import annotations

from pathlib import Path

from docs_pages.markdown import document, generated_notice

KINDS = {
    "tutorials": ("Tutorials", "Learn by doing, step by step, on invented lifts."),
    "how-to": ("How-to guides", "One question each, for those who know the basics."),
    "theory": ("Theory", "What is solved, what is assumed, and why it may be believed."),
    "reference": ("Reference", "Facts to look up, generated from the code."),
    "decisions": ("Decisions", "Why it is built so, one page each."),
}


def page(docs: Path) -> str:
    """The map of the folder ``docs``.

    Raises:
        LookupError: a page has no title, or lies in a folder that the map does not know.
    """
    known = {docs / kind for kind in KINDS}
    stray = [path for path in docs.rglob("*.md") if path.parent not in known and path.parent != docs]
    if stray:
        raise LookupError(f"{stray[0].relative_to(docs)} lies in no known kind of docs: {', '.join(KINDS)}")
    return document(
        generated_notice("the titles of the pages"),
        "# Plumbhook: the docs",
        "Read the [cautions](../DISCLAIMER.md) before relying on any result. What the program is for and "
        "how to start is in the [README](../README.md); how it is built and changed in "
        "[CONTRIBUTING](../CONTRIBUTING.md); what changed in the [CHANGELOG](../CHANGELOG.md).",
        *(_section(docs, kind) for kind in KINDS),
        "## Verification",
        "- [Published cases](verification.md): numbers of others beside the computed ones.\n"
        "- [Coverage](coverage.md): every clause implemented, its cases and tests, and those that are not.",
    )


def title_of(page_text: str) -> str:
    """The first heading of a page.

    Raises:
        LookupError: the page has no heading of the first level.
    """
    for line in page_text.splitlines():
        if line.startswith("# "):
            return line.removeprefix("# ").strip()
    raise LookupError("a page of the docs has no title ('# ...' heading)")


def _section(docs: Path, kind: str) -> str:
    title, meaning = KINDS[kind]
    folder = docs / kind
    pages = (
        sorted(path for path in folder.glob("*") if path.suffix in {".md", ".json"})
        if folder.is_dir()
        else []
    )
    if not pages:
        return ""
    lines = "\n".join(f"- [{_name(path)}]({kind}/{path.name})" for path in pages)
    return document(f"## {title}", meaning, lines)


def _name(path: Path) -> str:
    return title_of(path.read_text(encoding="utf-8")) if path.suffix == ".md" else path.name
