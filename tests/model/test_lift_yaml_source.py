"""YAML to plain values: only what loses nothing becomes a number, and every value knows its line."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plumbhook.core.errors import InputError
from plumbhook.model.yaml_source import path_text, read_yaml

WORDS = st.text(st.characters(codec="ascii", categories=("L", "N")), min_size=1, max_size=8)
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**12), 10**12) | WORDS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(WORDS, inner, max_size=4),
    max_leaves=20,
)


@pytest.mark.parametrize(
    ("word", "value"),
    [
        ("317", 317),
        ("-3", -3),
        ("0317", "0317"),
        ("1.5", 1.5),
        ("1.10", "1.10"),
        ("1e3", "1e3"),
        ("0x10", "0x10"),
        ("1_000", "1_000"),
        ("true", True),
        ("yes", "yes"),
        ("on", "on"),
        ("True", "True"),
        ("null", None),
        ("~", None),
        ("", None),
        (".nan", ".nan"),
        (".inf", ".inf"),
        ("2027-03-17", "2027-03-17"),
        ("12:30", "12:30"),
        ('"317"', "317"),
        ("'true'", "true"),
        ("85 %", "85 %"),
        ("12345678901234567890", "12345678901234567890"),
    ],
)
def test_a_plain_word_becomes_a_value_only_where_nothing_is_lost(word: str, value: object) -> None:
    read = read_yaml(f"a: {word}\n").data["a"]
    assert read == value
    assert type(read) is type(value)


def test_keys_are_texts_whatever_they_look_like() -> None:
    assert read_yaml("y: 1\n1: 2\nnull: 3\ntrue: 4\n").data == {"y": 1, "1": 2, "null": 3, "true": 4}


def test_every_value_knows_its_line() -> None:
    source = read_yaml("a:\n  b: 1\n  c:\n    - x\n    - y: 2\n")
    assert source.line_of(("a",)) == 1
    assert source.line_of(("a", "b")) == 2
    assert source.line_of(("a", "c", 1, "y")) == 5
    assert source.line_of(("a", "c", 1, "missing")) == 5
    assert source.line_of(("d",)) is None


def test_paths_count_from_one_as_a_reader_does() -> None:
    assert path_text(("load", "parts", 2, "mass")) == "load.parts[3].mass"
    assert path_text(()) == ""


@settings(deadline=None)
@given(st.dictionaries(WORDS, VALUES, min_size=1, max_size=5))
def test_json_is_read_as_json_reads_it(value: dict) -> None:
    assert read_yaml(json.dumps(value, indent=2)).data == value


def test_a_repeated_key_keeps_the_first_and_says_so() -> None:
    source = read_yaml("a: 1\nb:\n  c: 2\na: {d: 3, d: 4}\n")
    assert source.data == {"a": 1, "b": {"c": 2}}
    assert [(problem.line, problem.field) for problem in source.problems] == [(4, "a")]


@settings(deadline=None)
@given(st.text(max_size=300))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        source = read_yaml(text)
    except InputError as refused:
        sentences = [problem.message for problem in refused.problems]
    else:
        assert isinstance(source.data, dict)
        return
    assert all(sentences)
