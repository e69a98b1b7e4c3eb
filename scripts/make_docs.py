"""Write the generated pages of ``docs/``, or check that the committed ones are fresh.

    python scripts/make_docs.py             write every page that differs
    python scripts/make_docs.py --check     write nothing; exit 1 naming each page that is stale

Each page is one function without arguments that returns its whole text. The map of the docs comes last:
it reads the titles of the others.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from docs_pages import api, commands, coverage, exit_codes, lift_file, map_of_docs, verification

ROOT = Path(__file__).resolve().parent.parent

Page = Callable[[], str]

PAGES: Mapping[str, Page] = {
    "docs/reference/api.md": api.page,
    "docs/reference/records.md": api.records_page,
    "docs/reference/cli.md": commands.page,
    "docs/reference/exit-codes.md": exit_codes.page,
    "docs/reference/lift-file.schema.json": lift_file.schema_page,
    "docs/reference/lift-file.md": lift_file.page,
    "docs/verification.md": verification.page,
    "docs/coverage.md": lambda: coverage.page(ROOT),
    "docs/index.md": lambda: map_of_docs.page(ROOT / "docs"),
}


def run(pages: Mapping[str, Page], root: Path, *, check: bool) -> list[str]:
    """Make every page, in order, and write those that differ (or only compare them).

    Args:
        pages: maker of each page by its path below ``root``.
        root: folder of the repository.
        check: compare only; nothing is written.

    Returns:
        One sentence for each page that could not be made or, with ``check``, is stale; empty when all is
        well. A page that cannot be made is reported with its reason and the others are still made.
    """
    complaints = []
    for name, make in pages.items():
        try:
            text = make()
        except Exception as error:  # noqa: BLE001  whatever is wrong with one page must not hide the others
            complaints.append(f"{name}: cannot be generated ({type(error).__name__}: {error})")
            continue
        path = root / name
        present = path.read_text(encoding="utf-8") if path.exists() else None
        if present == text:
            continue
        if check:
            state = "is missing" if present is None else "is stale"
            complaints.append(f"{name}: {state}; run `make docs` and commit it")
        else:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="\n")
            print(f"wrote {name}")
    return complaints


def main(arguments: Sequence[str] | None = None) -> int:
    """Entry point; returns the exit code."""
    parser = argparse.ArgumentParser(description="Write or check the generated pages of docs/.")
    parser.add_argument("--check", action="store_true", help="compare only; exit 1 when a page is stale")
    options = parser.parse_args(arguments)
    complaints = run(PAGES, ROOT, check=options.check)
    for complaint in complaints:
        print(complaint, file=sys.stderr)
    return 1 if complaints else 0


if __name__ == "__main__":
    sys.exit(main())
