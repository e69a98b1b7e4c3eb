"""Exit codes, and the one place where an exception becomes a sentence and a code."""

from __future__ import annotations

import sys
import tempfile
import traceback
from collections.abc import Callable
from enum import IntEnum
from pathlib import Path

from plumbhook.core.check import Status
from plumbhook.core.errors import InputError, NotEvaluatedError


class ExitCode(IntEnum):
    """What a script may rely on."""

    PASS = 0  # everything that was evaluated passes, and everything was evaluated
    FAIL = 1  # at least one check fails
    INPUT = 2  # the input is wrong; nothing was written
    NOT_EVALUATED = 3  # something could not be evaluated
    BUG = 4  # an internal error; the report says where it was saved


_BY_STATUS = {
    Status.PASS: ExitCode.PASS,
    Status.FAIL: ExitCode.FAIL,
    Status.NOT_EVALUATED: ExitCode.NOT_EVALUATED,
    Status.NOT_APPLICABLE: ExitCode.NOT_EVALUATED,
}


_INTERRUPTED = 130
_STOPPED = "Stopped. Nothing was left half written."


def code_of(status: Status) -> ExitCode:
    """Exit code of a verdict."""
    return _BY_STATUS[status]


def guarded(command: Callable[[], object]) -> int:
    """Run a command and turn every exception into a sentence on standard error and an exit code."""
    try:
        command()
    except SystemExit as exit_:
        if exit_.code == _INTERRUPTED:  # the parser has turned the interrupt into an ending of its own
            _say(_STOPPED)
        return exit_.code if isinstance(exit_.code, int) else ExitCode.PASS
    except InputError as error:
        _say(f"The input needs {_things(len(error.problems))}:")
        for problem in error.problems:
            _say(f"  {problem}")
        return ExitCode.INPUT
    except NotEvaluatedError as error:
        _say(f"Not evaluated: {error}")
        return ExitCode.NOT_EVALUATED
    except BrokenPipeError:
        sys.stderr.close()  # the reader left; the interpreter must not complain about it at exit
        return ExitCode.PASS
    except KeyboardInterrupt:
        _say(_STOPPED)
        return _INTERRUPTED
    except OSError as error:
        _say(f"The file system refused: {error.strerror or error}. File: {error.filename}")
        return ExitCode.INPUT
    except Exception:  # noqa: BLE001 - the last line of defence: report, never swallow
        return _report_bug()
    return ExitCode.PASS


def _things(count: int) -> str:
    return "one correction" if count == 1 else f"{count} corrections"


def _say(text: str) -> None:
    sys.stderr.write(text + "\n")


def _report_bug() -> ExitCode:
    with tempfile.NamedTemporaryFile(
        "w", prefix="plumbhook-bug-", suffix=".txt", delete=False, encoding="utf-8"
    ) as report:
        report.write(f"command: {' '.join(sys.argv)}\npython: {sys.version}\n\n{traceback.format_exc()}")
    _say(
        "Plumbhook made an error of its own; no result of this run may be used. "
        f"A report was saved in {Path(report.name)}; please send it with the input."
    )
    return ExitCode.BUG
