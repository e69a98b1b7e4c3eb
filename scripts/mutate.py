"""Change the code in small wrong ways and see whether the tests notice.

    python scripts/mutate.py                          every module of the checks and the strut solver
    python scripts/mutate.py --sample 8 --seed 3      at most eight mutants of each, drawn with the seed
    python scripts/mutate.py plumbhook.checks.steels  one module
    python scripts/mutate.py --again                  the survivors of the last run once more
    python scripts/mutate.py --page                   only write the page anew from the last run

The results are kept in ``out/mutation.json``; ``docs/mutation.md`` is written from them.
"""

from __future__ import annotations

import argparse
import datetime
import json
import random
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from mutation.covering import Tree, name_of
from mutation.page import page
from mutation.runner import Copy
from mutation.sites import Mutant, mutants

ROOT = Path(__file__).resolve().parent.parent
RESULTS = ROOT / "out" / "mutation.json"
REASONS = Path(__file__).resolve().parent / "mutation" / "reasons.json"
PAGE = ROOT / "docs" / "mutation.md"
UNDER_MUTATION = ("src/plumbhook/checks", "src/plumbhook/statics/beam_column")

Results = dict[str, Any]


def modules() -> list[str]:
    """Modules that compute: the published cases and the bare packages are left out."""
    paths = [path for folder in UNDER_MUTATION for path in sorted((ROOT / folder).rglob("*.py"))]
    return [
        name_of(ROOT, path)
        for path in paths
        if path.name != "__init__.py" and "verification" not in path.name
    ]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run what is asked; exit code 1 where a survivor has no reason."""
    given = _arguments(arguments)
    results: Results = _read(RESULTS) if given.again or given.page or given.more else {}
    if not given.page:
        names = given.modules or (list(results["modules"]) if given.again else modules())
        results.setdefault("modules", {})
        results["date"] = datetime.datetime.now(tz=datetime.UTC).date().isoformat()
        if not given.again:
            results |= {"seed": given.seed, "sample": given.sample}
        with Copy(ROOT, given.timeout) as copy:
            copy.require_green(far=not given.near)
            # The copy stays as it is while the tree is worked on.
            tree = Tree(copy.root)
            for name in names:
                results["modules"][name] = _run(copy, tree, name, given, results["modules"].get(name))
                RESULTS.parent.mkdir(exist_ok=True)
                RESULTS.write_text(json.dumps(results, indent=1), encoding="utf-8")
    text, unexplained = page(results, _read(REASONS))
    PAGE.write_text(text, encoding="utf-8")
    print(f"{PAGE.relative_to(ROOT)} written; survivors without a reason: {unexplained}")
    return 1 if unexplained else 0


def _run(copy: Copy, tree: Tree, name: str, given: argparse.Namespace, last: Results | None) -> Results:
    started = time.monotonic()
    path = _file_of(name)
    found = mutants((copy.root / path).read_text(encoding="utf-8"))
    chosen = _again(found, last) if given.again and last is not None else _drawn(name, found, given)
    survivors = []
    covering = tree.covering(name)
    for mutant in chosen:
        killed = copy.notices(path, mutant.source, covering, far=not given.near)
        if not killed:
            survivors.append({"line": mutant.line, "before": mutant.before, "after": mutant.after})
            print(f"  survives {path}:{mutant.line}: {mutant.before}  ->  {mutant.after}", flush=True)
    sampled = last["sampled"] if given.again and last is not None else len(chosen)
    print(
        f"{name}: {len(found)} sites, {sampled} sampled, {sampled - len(survivors)} killed "
        f"({time.monotonic() - started:.0f} s)",
        flush=True,
    )
    return {"sites": len(found), "sampled": sampled, "survivors": survivors}


def _drawn(name: str, found: list[Mutant], given: argparse.Namespace) -> list[Mutant]:
    """At most ``--sample`` mutants; the same ones for the same seed, whatever else is run."""
    if not given.sample or given.sample >= len(found):
        return found
    drawn = random.Random(f"{given.seed} {name}").sample(range(len(found)), given.sample)
    return [found[place] for place in sorted(drawn)]


def _again(found: list[Mutant], last: Results) -> list[Mutant]:
    wanted = [(s["before"], s["after"], s["line"]) for s in last["survivors"]]
    return [m for m in found if (m.before, m.after, m.line) in wanted]


def _file_of(name: str) -> str:
    path = ROOT / "src" / Path(*name.split("."))
    file = path / "__init__.py" if path.is_dir() else path.with_suffix(".py")
    return file.relative_to(ROOT).as_posix()


def _read(path: Path) -> Results:
    if not path.exists():
        raise SystemExit(f"{path} is missing; run the mutants first: python scripts/mutate.py")
    read: Results = json.loads(path.read_text(encoding="utf-8"))
    return read


def _arguments(arguments: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        description="Change the code in small wrong ways and see whether the tests notice."
    )
    parser.add_argument("modules", nargs="*", help="dotted names; all that are under mutation without any")
    parser.add_argument("--sample", type=int, default=0, help="at most so many mutants of a module; 0: all")
    parser.add_argument("--seed", type=int, default=1, help="seed of the sample")
    parser.add_argument(
        "--timeout", type=float, default=60.0, help="a run longer than this counts as killed, s"
    )
    parser.add_argument(
        "--near", action="store_true", help="leave out tests that only reach a module through others"
    )
    parser.add_argument("--again", action="store_true", help="only the survivors of the last run")
    parser.add_argument(
        "--more", action="store_true", help="keep what the last run found of modules not named"
    )
    parser.add_argument("--page", action="store_true", help="only write the page anew")
    return parser.parse_args(arguments)


if __name__ == "__main__":
    sys.exit(main())
