"""A file that holds one section by itself, read strictly: every problem at once, each with its line."""

from __future__ import annotations

from typing import TypeVar

from pydantic import ValidationError

from plumbhook.core.errors import InputError
from plumbhook.model._problems import problems_of
from plumbhook.model.quantity import Section
from plumbhook.model.yaml_source import read_yaml

Whole = TypeVar("Whole", bound=Section)


def parse_whole(text: str, root: type[Whole], source: str) -> Whole:
    """The content of a file by its model.

    Args:
        text: YAML or JSON.
        root: model of the whole file.
        source: name of the file, for the messages.

    Raises:
        InputError: it is wrong; with every problem found.
    """
    tree = read_yaml(text, source)
    problems = list(tree.problems)
    whole = None
    try:
        whole = root.model_validate(tree.data)
    except ValidationError as error:
        problems.extend(problems_of(error, tree, root))
    if problems or whole is None:
        raise InputError(tuple(problems))
    return whole
