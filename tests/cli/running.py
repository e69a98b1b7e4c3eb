"""Run the command in this process as the console script would."""

from __future__ import annotations

import sys
from dataclasses import dataclass

import pytest

from plumbhook.cli.main import run


@dataclass(frozen=True)
class Ran:
    code: int
    out: str
    err: str


def plumbhook(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *arguments: object) -> Ran:
    """Exit code, standard output and standard error of one call; never an exception."""
    monkeypatch.setattr(sys, "argv", ["plumbhook", *(str(argument) for argument in arguments)])
    with pytest.raises(SystemExit) as ended:
        run()
    captured = capsys.readouterr()
    return Ran(int(ended.value.code or 0), captured.out, captured.err)
