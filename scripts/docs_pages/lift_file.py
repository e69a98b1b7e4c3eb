"""Reference of the lift file: its JSON Schema, and the same as tables to read."""

from __future__ import annotations

import json
from typing import Any

from docs_pages.markdown import document, generated_notice, inline, slug, table
from plumbhook.core.unit_words import BY_WORD
from plumbhook.core.units import parse_quantity

Schema = dict[str, Any]


def schema() -> Schema:
    """The JSON Schema of the lift file: derived from the model, with defaults as a user would write them."""
    from plumbhook.model.lift_file import LiftFile

    derived: Schema = as_written(LiftFile.model_json_schema(by_alias=True))
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **derived}


def as_written(node: Any) -> Any:  # noqa: ANN401  a JSON value
    """A copy of a schema in which the default of a quantity is a text with its unit, not the SI number.

    A field whose type is text and whose example is ``35 deg`` gets its default in degrees. The default of a
    whole part is the empty part: its fields tell their own defaults.

    Raises:
        LookupError: the unit of an example is not known.
    """
    if isinstance(node, list):
        return [as_written(item) for item in node]
    if not isinstance(node, dict):
        return node
    copy = {key: as_written(value) for key, value in node.items()}
    default = copy.get("default")
    if "$ref" in copy and isinstance(default, dict):
        copy["default"] = {}
    if copy.get("type") == "string" and isinstance(default, int | float):
        copy["default"] = _with_unit(float(default), _unit_of_example(copy))
    return copy


def _unit_of_example(schema: Schema) -> str:
    examples = schema.get("examples") or [""]
    word = str(examples[0]).partition(" ")[2]
    if word not in BY_WORD:
        raise LookupError(f"no unit to write the default of {schema.get('title', 'a field')!r} in")
    return word


def _with_unit(value_si: float, word: str) -> str:
    one = parse_quantity(f"1 {word}", BY_WORD[word].kind)
    return f"{value_si / one:.10g} {word}"


def schema_page() -> str:
    """The schema as a file."""
    return json.dumps(schema(), indent=2, ensure_ascii=False) + "\n"


def page() -> str:
    """The schema as a page."""
    return page_of(schema())


def page_of(root: Schema) -> str:
    """One table for the whole file and one for each part, in the order in which a reader meets them."""
    definitions: dict[str, Schema] = root.get("$defs", {})
    ordered = _in_reading_order(root, definitions)
    return document(
        generated_notice("the model of the lift file"),
        "# The lift file",
        inline(root.get("description", "")),
        "YAML or JSON. Each quantity carries its unit. For editors and other programs the same is in "
        "[lift-file.schema.json](lift-file.schema.json).",
        "## The file",
        _fields(root),
        *(_section(name, definitions[name]) for name in ordered),
    )


def type_text(schema: Schema) -> str:
    """What a value may be, in words, with links to the parts.

    Raises:
        LookupError: the schema says nothing that is understood here.
    """
    if "$ref" in schema:
        name = _referred(schema)
        return f"[{name}](#{slug(name)})"
    if "const" in schema:
        return f"`{schema['const']}`"
    if "enum" in schema:
        return " or ".join(f"`{value}`" for value in schema["enum"])
    alternatives = schema.get("anyOf") or schema.get("oneOf") or schema.get("allOf")
    if alternatives:
        # "may be left out" is told by the column of its own
        shown = [type_text(one) for one in alternatives if one.get("type") != "null"]
        return " or ".join(dict.fromkeys(shown))
    if "type" not in schema:
        return "anything"
    return _plain_type(schema)


def _plain_type(schema: Schema) -> str:
    kind = schema["type"]
    if kind == "array":
        return _array_type(schema)
    if kind == "object":
        return _map_type(schema)
    if kind == "string" and schema.get("examples"):
        return _text_by_example(str(schema["examples"][0]))
    words = {"string": "text", "integer": "whole number", "number": "number", "boolean": "true or false"}
    if kind not in words:
        raise LookupError(f"a JSON Schema type that this page cannot explain: {kind!r}")
    limits = {"minimum": "≥", "exclusiveMinimum": ">", "maximum": "≤", "exclusiveMaximum": "<"}
    bounds = [f"{sign} {schema[key]}" for key, sign in limits.items() if key in schema]
    return words[kind] + (f" ({', '.join(bounds)})" if bounds else "")


def _text_by_example(example: str) -> str:
    """A quantity by its kind, ``length, such as `4.30 m```; any other text by its example alone."""
    word = example.partition(" ")[2]
    noun = BY_WORD[word].kind.noun.partition(" ")[2] if word in BY_WORD else "text"
    return f"{noun}, such as `{example}`"


def _map_type(schema: Schema) -> str:
    values = [*schema.get("patternProperties", {}).values(), schema.get("additionalProperties")]
    shown = [type_text(one) for one in values if isinstance(one, dict)]
    return f"map of name to {' or '.join(dict.fromkeys(shown))}" if shown else "map"


def _array_type(schema: Schema) -> str:
    if "prefixItems" in schema:
        items = [type_text(item) for item in schema["prefixItems"]]
        same = len(set(items)) == 1
        return f"list of {len(items)}: {items[0]} each" if same else "list of " + " and ".join(items)
    return f"list of {type_text(schema.get('items', {}))}"


def _section(name: str, schema: Schema) -> str:
    if "properties" in schema:
        return document(f"## {name}", inline(schema.get("description", "")), _fields(schema))
    values = "One of: " + type_text(schema) + "." if "enum" in schema else type_text(schema)
    return document(f"## {name}", inline(schema.get("description", "")), values)


def _fields(schema: Schema) -> str:
    required = set(schema.get("required", []))
    rows = [
        (
            f"`{name}`",
            type_text(field),
            "required" if name in required else _default_text(field),
            inline(field.get("description", "")),
        )
        for name, field in schema.get("properties", {}).items()
    ]
    return table(("field", "value", "if left out", "meaning"), rows) if rows else "No fields."


def _default_text(field: Schema) -> str:
    default = field.get("default")
    if default is None:
        return "not given"
    if default == {} and "$ref" in field:
        return "all as left out there"
    if default in ("", [], {}):
        return "empty"
    return f"`{json.dumps(default, ensure_ascii=False)}`" if not isinstance(default, str) else f"`{default}`"


def _referred(schema: Schema) -> str:
    return str(schema["$ref"]).removeprefix("#/$defs/")


def _in_reading_order(root: Schema, definitions: dict[str, Schema]) -> list[str]:
    """Names of the parts, each after the part that first mentions it."""
    ordered: list[str] = []
    waiting = [root]
    while waiting:
        for name in _references(waiting.pop(0)):
            if name not in ordered:
                ordered.append(name)
                waiting.append(definitions[name])
    return ordered


def _references(node: object) -> list[str]:
    if isinstance(node, list):
        return [name for item in node for name in _references(item)]
    if not isinstance(node, dict):
        return []
    here = [_referred(node)] if isinstance(node.get("$ref"), str) else []
    return here + [name for key, value in node.items() if key != "$defs" for name in _references(value)]
