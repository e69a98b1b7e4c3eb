"""Reference of the Python functions that ``plumbhook.__all__`` names, and of the records that they return."""

from __future__ import annotations

import importlib
import inspect
from enum import Enum
from types import ModuleType
from typing import Any

from docs_pages.markdown import document, from_docstring, generated_notice, slug

# Where the records live that the public functions return, from the outermost to the innermost.
RECORD_MODULES = (
    "plumbhook.planning.assessment",
    "plumbhook.planning.crane_records",
    "plumbhook.planning.way_records",
    "plumbhook.planning.rule_records",
    "plumbhook.planning.tolerance_study",
    "plumbhook.planning.trial_lift_records",
    "plumbhook.planning.levelling_records",
    "plumbhook.model.solids",
    "plumbhook.core.check",
    "plumbhook.statics.result",
    "plumbhook.statics.modes",
    "plumbhook.statics.sensitivity",
    "plumbhook.core.errors",
)
_WIDTH = 88
_STARS: dict[Any, str] = {inspect.Parameter.VAR_POSITIONAL: "*", inspect.Parameter.VAR_KEYWORD: "**"}


def page() -> str:
    """The page of the public package."""
    return page_of(importlib.import_module("plumbhook"))


def page_of(module: ModuleType) -> str:
    """Describe every name in ``module.__all__``, in the order given there.

    Raises:
        LookupError: the module has no public names, or one of them has no docstring.
    """
    names = [name for name in getattr(module, "__all__", []) if not name.startswith("__")]
    if not names:
        raise LookupError(f"{module.__name__} names nothing in __all__")
    entries = [_entry(name, getattr(module, name)) for name in names]
    contents = "\n".join(f"- [`{name}`](#{slug(name)})" for name in names)
    return document(
        generated_notice("the docstrings of the public names"),
        f"# Python: `{module.__name__}`",
        from_docstring(inspect.getdoc(module) or ""),
        contents,
        *entries,
    )


def records_page() -> str:
    """The page of the records that the public functions return."""
    return records_page_of([importlib.import_module(name) for name in RECORD_MODULES])


def records_page_of(modules: list[ModuleType]) -> str:
    """Describe every public class that one of the modules defines, in the order of its source.

    Raises:
        LookupError: a module defines no public class.
    """
    sections = []
    for module in modules:
        own = [
            item
            for item in vars(module).values()
            if inspect.isclass(item) and item.__module__ == module.__name__
        ]
        public = [item for item in own if not item.__name__.startswith("_")]
        if not public:
            raise LookupError(f"{module.__name__} defines no public class")
        sections += [_entry(item.__name__, item) for item in public]
    return document(
        generated_notice("the docstrings of the records"),
        "# Python: the records",
        "What the functions of [api.md](api.md) return: frozen records of plain values in SI units. The unit "
        "is in the name of each field.",
        *sections,
    )


def signature_text(name: str, function: Any) -> str:  # noqa: ANN401  any callable
    """Name and parameters as they are written in the source, on one line or one parameter a line."""
    signature = inspect.signature(function)
    parameters = _parameter_texts(list(signature.parameters.values()))
    ending = ""
    if signature.return_annotation is not inspect.Signature.empty and not inspect.isclass(function):
        ending = f" -> {_annotation(signature.return_annotation)}"
    line = f"{name}({', '.join(parameters)}){ending}"
    if len(line) <= _WIDTH or not parameters:
        return line
    inner = "".join(f"    {parameter},\n" for parameter in parameters)
    return f"{name}(\n{inner}){ending}"


def _parameter_texts(parameters: list[inspect.Parameter]) -> list[str]:
    texts: list[str] = []
    star_seen = False
    for parameter in parameters:
        if parameter.name == "self":
            continue
        if parameter.kind is inspect.Parameter.KEYWORD_ONLY and not star_seen:
            texts.append("*")
            star_seen = True
        star_seen = star_seen or parameter.kind is inspect.Parameter.VAR_POSITIONAL
        texts.append(_parameter_text(parameter))
    return texts


def _parameter_text(parameter: inspect.Parameter) -> str:
    text = _STARS.get(parameter.kind, "") + parameter.name
    annotated = parameter.annotation is not inspect.Parameter.empty
    if annotated:
        text += f": {_annotation(parameter.annotation)}"
    if parameter.default is not inspect.Parameter.empty:
        text += (" = " if annotated else "=") + _default(parameter.default)
    return text


def _annotation(annotation: object) -> str:
    return annotation if isinstance(annotation, str) else inspect.formatannotation(annotation)


def _default(value: object) -> str:
    """A default without memory addresses or long class paths."""
    if isinstance(value, Enum):
        return f"{type(value).__name__}.{value.name}"
    if repr(value) == "<factory>":  # how a dataclass marks a default that is made anew each time
        return "..."
    name = getattr(value, "__name__", None)
    return name if isinstance(name, str) else repr(value)


def _entry(name: str, item: object) -> str:
    if not inspect.isclass(item) and not callable(item):
        return document(f"## {name}", f"A constant: `{item!r}`.")
    doc = inspect.getdoc(item)
    if not doc:
        raise LookupError(f"{name} has no docstring")
    if inspect.isclass(item):
        return _class_entry(name, item, doc)
    return document(f"## {name}", _code(signature_text(name, item)), from_docstring(doc))


def _class_entry(name: str, item: type, doc: str) -> str:
    if issubclass(item, Enum):
        values = "\n".join(f"- `{member.name}`: {member.value}" for member in item)
        return document(f"## {name}", from_docstring(doc), values)
    members = [_member(name, key, value) for key, value in vars(item).items() if not key.startswith("_")]
    shown = "" if issubclass(item, BaseException) else _code(signature_text(name, item))
    # A dataclass without a docstring of its own is given its signature as one: nothing to say twice.
    text = "" if doc.startswith(f"{item.__name__}(") else from_docstring(doc)
    return document(f"## {name}", shown, text, *members)


def _member(owner: str, key: str, value: object) -> str:
    """A public method or property; fields are described by the class itself."""
    if isinstance(value, property):
        kind, function = f"{owner}.{key}", None
    elif isinstance(value, (classmethod, staticmethod)):
        kind, function = f"{owner}.{key}", getattr(value, "__func__", None)
    elif inspect.isfunction(value):
        kind, function = f"{owner}.{key}", value
    else:
        return ""
    doc = inspect.getdoc(value)
    if not doc:
        return ""
    shown = "" if function is None else _code(_without_cls(signature_text(kind, function)))
    return document(f"### {kind}", shown, from_docstring(doc))


def _without_cls(text: str) -> str:
    return text.replace("(cls, ", "(", 1).replace("(cls)", "()", 1).replace("    cls,\n", "", 1)


def _code(text: str) -> str:
    return f"```python\n{text}\n```"
