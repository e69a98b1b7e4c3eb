"""Which clauses are implemented, where, how sure each is and what tests it; and which are not, with the reason."""

from __future__ import annotations

import ast
import importlib
import pkgutil
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from types import ModuleType

import yaml

from docs_pages.markdown import document, generated_notice, table
from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.resources import examples_dir
from plumbhook.core.verification import VerificationCase

PACKAGES = ("plumbhook.checks", "plumbhook.crane", "plumbhook.planning")
_WITHOUT_DOCUMENT = {
    SourceQuality.COMMON_PRACTICE: "Common practice",
    SourceQuality.OWN_DERIVATION: "Own derivations",
    SourceQuality.POLICY: "Policies of the firm",
}
# What identifies a place in a document: a number with a point or hyphen, a lettered annex, a numbered table or rule.
_PLACE = re.compile(
    r"(?:Table|Annex|Appendix|chapter|Figure|reg\.|regulation|section|eq\.) \(?[A-Z]?[\w.-]*\w|"
    r"\b[A-Z]?\d+(?:[.-]\d+)+(?!\d)|\b[A-Z]\.?\d+(?:\.\d+)*\b"
)
_USED = "used in a check of the shipped lifts"


@dataclass(frozen=True, slots=True)
class Absent:
    """A clause that a reader would expect and that is not implemented."""

    document: str
    clause: str
    what: str
    because: str


def page(root: Path) -> str:
    """The page of the clauses of the package, with the tests below ``root``.

    Raises:
        LookupError: no clause is found, or a clause is listed as implemented and as not implemented.
    """
    from plumbhook.planning.verification import all_cases

    uses = implemented()
    absent = not_implemented()
    both = contradictions(uses, absent)
    if not uses or both:
        raise LookupError(
            f"implemented and listed as not implemented: {'; '.join(both)}" if both else "no clause"
        )
    return page_of(uses, absent, list(all_cases()), tests_of_modules(root / "tests"))


def page_of(
    uses: Mapping[Clause, frozenset[str]],
    absent: Sequence[Absent],
    cases: Sequence[VerificationCase],
    tests: Mapping[str, frozenset[str]],
) -> str:
    """The page from its four ingredients."""
    by_document: dict[str, list[Clause]] = defaultdict(list)
    for clause in uses:
        by_document[
            _WITHOUT_DOCUMENT.get(clause.quality, "") if not clause.clause else clause.document
        ].append(clause)
    of_nobody = [by_document.pop(title) for title in _WITHOUT_DOCUMENT.values() if title in by_document]
    counts = Counter(clause.quality for clause in uses)
    modules = {
        use.partition(":")[0]
        for found in uses.values()
        for use in found
        if use.startswith(("checks", "crane", "planning"))
    }
    return document(
        generated_notice("the clauses in the package and data/coverage/not_implemented.yaml"),
        "# Coverage",
        "Every clause that a check, a step of its working or a rule pack names, and what stands behind it. *Where* "
        "names the module and the functions that use it or say so in their docstring. *Cases* counts the "
        "[published cases](verification.md) whose source names the document and the place. The tests of each module "
        "are [listed below](#modules-and-their-tests); what a reader would expect and does not find is "
        "[listed with its reason](#not-implemented).",
        f"{len(uses)} clauses of {len(by_document)} documents. How sure they are:",
        "\n".join(f"- {quality.value}: {counts[quality]}" for quality in SourceQuality if counts[quality]),
        *(_document(name, by_document[name], uses, cases) for name in sorted(by_document)),
        *(_of_nobody(clauses, uses) for clauses in of_nobody),
        "## Not implemented",
        "Kept by hand; places are named from memory where a document was not at hand.",
        _absent_table(absent),
        "## Modules and their tests",
        "Test files that import the module by name; tests of whole lifts reach it too and are not listed.",
        table(
            ("module", "tests"),
            [
                (f"`{name}`", ", ".join(sorted(tests.get(f"plumbhook.{name}", ()))) or "through its callers")
                for name in sorted(modules)
            ],
        ),
    )


def places(text: str) -> frozenset[str]:
    """The numbers, tables, annexes and rules that a text names."""
    return frozenset(found.group().rstrip(".") for found in _PLACE.finditer(text))


def contradictions(uses: Iterable[Clause], absent: Iterable[Absent]) -> list[str]:
    """Clauses that stand in both lists: the same document, and the same words or a place that both name."""
    have: dict[str, set[str]] = defaultdict(set)
    for clause in uses:
        have[clause.document].update({clause.clause, *places(clause.clause)})
    return [
        f"{row.document}, {row.clause}"
        for row in absent
        if (row.clause == "all" and row.document in have)
        or have.get(row.document, set())
        & {row.clause, *places(row.clause), *re.split(r", | and ", row.clause)}
    ]


def not_implemented() -> tuple[Absent, ...]:
    """The list that is kept by hand."""
    text = files("plumbhook").joinpath("data", "coverage", "not_implemented.yaml").read_text(encoding="utf-8")
    # By keyword, so that a comma outside quotes, which would start a key of its own, cannot cut a reason short.
    return tuple(Absent(**{**row, "clause": str(row["clause"])}) for row in yaml.safe_load(text))


def implemented() -> dict[Clause, frozenset[str]]:
    """Every clause with its uses: ``module: function``, a rule pack, or a check of a shipped lift."""
    found: dict[Clause, set[str]] = defaultdict(set)
    for module in _modules():
        for clause, use in _uses_of_module(module):
            found[clause].add(use)
    for clause, use in _uses_of_packs():
        found[clause].add(use)
    for clause in _clauses_of_lifts():
        if clause not in found:
            found[clause].add(_USED)
    return {clause: frozenset(uses) for clause, uses in found.items()}


def _modules() -> Iterator[ModuleType]:
    for name in PACKAGES:
        package = importlib.import_module(name)
        yield package
        for info in pkgutil.walk_packages(package.__path__, f"{name}."):
            yield importlib.import_module(info.name)


def _uses_of_module(module: ModuleType) -> Iterator[tuple[Clause, str]]:
    """Clauses that stand at the top of a module, each with the functions that name it."""
    short = module.__name__.removeprefix("plumbhook.")
    names = {name: found for name, value in vars(module).items() if (found := tuple(_clauses_in(value)))}
    if not names or module.__file__ is None:
        return
    tree = ast.parse(Path(module.__file__).read_text(encoding="utf-8"))
    own = {target.id for node in tree.body for target in _targets(node)}
    for function in (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)):
        for node in ast.walk(function):
            for clause in names.get(node.id, ()) if isinstance(node, ast.Name) else ():
                yield clause, f"{short}: {function.name}"
        said = places(ast.get_docstring(function) or "")
        for name in own & set(names):
            yield from ((c, f"{short}: {function.name}") for c in names[name] if places(c.clause) & said)
    for name in own & set(names):
        for clause in names[name]:
            yield clause, short


def _targets(node: ast.stmt) -> Iterator[ast.Name]:
    targets = (
        node.targets
        if isinstance(node, ast.Assign)
        else [node.target]
        if isinstance(node, ast.AnnAssign)
        else []
    )
    yield from (target for target in targets if isinstance(target, ast.Name))


def _clauses_in(value: object) -> Iterator[Clause]:
    if isinstance(value, Clause):
        yield value
    elif isinstance(value, Mapping):
        yield from (one for one in value.values() if isinstance(one, Clause))
    elif isinstance(value, tuple | list):
        yield from (one for one in value if isinstance(one, Clause))


def _uses_of_packs() -> Iterator[tuple[Clause, str]]:
    from plumbhook.model.rule_pack import rule_pack, rule_pack_names

    for name in rule_pack_names():
        pack = rule_pack(name)
        for what, rows in (
            ("category", pack.triggers),
            ("limit", pack.limits),
            ("role", pack.roles),
            ("contents", pack.contents),
        ):
            yield from ((row.source, f"rule pack {name}: {what}") for row in rows)


def _clauses_of_lifts() -> set[Clause]:
    from plumbhook.model.files import read_lift
    from plumbhook.planning import assess

    checks = [
        c for path in sorted(examples_dir().glob("*/lift.yaml")) for c in assess(read_lift(path)).checks
    ]
    steps = {step.clause for check in checks for step in check.steps if step.clause is not None}
    return steps | {check.clause for check in checks}


def tests_of_modules(folder: Path) -> dict[str, frozenset[str]]:
    """Names of the test files that import each module of the package."""
    found: dict[str, set[str]] = defaultdict(set)
    for path in sorted(folder.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("plumbhook"):
                for name in (node.module, *(f"{node.module}.{alias.name}" for alias in node.names)):
                    found[name].add(path.stem)
            elif isinstance(node, ast.Import):
                for alias in node.names:
                    found[alias.name].add(path.stem)
    return {name: frozenset(tests) for name, tests in found.items()}


def _document(
    name: str,
    clauses: Sequence[Clause],
    uses: Mapping[Clause, frozenset[str]],
    cases: Sequence[VerificationCase],
) -> str:
    of_document = [case for case in cases if _names(case.source, name)]
    rows = [
        (
            ", ".join(part for part in (clause.edition, clause.clause) if part),
            clause.quality.value.partition(",")[0],
            _where(uses[clause]),
            str(sum(bool(places(clause.clause) & places(case.source)) for case in of_document) or ""),
        )
        for clause in sorted(clauses, key=str)
    ]
    count = f"{len(of_document)} published cases name this document." if of_document else ""
    return document(f"## {name}", count, table(("edition, clause", "how sure", "where", "cases"), rows))


def _names(source: str, name: str) -> bool:
    return re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-]|\.\d)", source) is not None


def _of_nobody(clauses: Sequence[Clause], uses: Mapping[Clause, frozenset[str]]) -> str:
    title = _WITHOUT_DOCUMENT[clauses[0].quality]
    rows = [(clause.document, _where(uses[clause])) for clause in sorted(clauses, key=str)]
    return document(f"## {title}", table(("rule", "where"), rows))


def _where(uses: Iterable[str]) -> str:
    """Uses as ``module`` with its functions; a module alone only where no function of it is named."""
    by_module: dict[str, set[str]] = defaultdict(set)
    for use in uses:
        module, _, function = use.partition(": ")
        by_module[module].update({function} if function else ())
    return "; ".join(
        (module if module.startswith(("rule pack", "used")) else f"`{module}`")
        + (f": {', '.join(sorted(functions))}" if functions else "")
        for module, functions in sorted(by_module.items())
    )


def _absent_table(absent: Sequence[Absent]) -> str:
    rows = sorted((row.document, row.clause, row.what, row.because) for row in absent)
    return table(("document", "clause", "what it is about", "why not"), rows)
