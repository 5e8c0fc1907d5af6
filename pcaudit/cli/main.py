"""Entry point: has a command line read and run, and turns errors into messages and exit codes."""

from __future__ import annotations

import errno
import os
import sys
from typing import Final

from pcaudit.cli import exits, quick
from pcaudit.cli.streams import hush, ready, tell
from pcaudit.errors import PcauditError

_FULL: Final = (errno.ENOSPC, errno.EFBIG, errno.EIO)


def _fault(error: Exception) -> str:
    """One line for a fault of the tool itself."""
    from pcaudit import __version__
    from pcaudit.core.visible import visible

    where = ""
    trace = error.__traceback__
    while trace is not None:
        where = f"{os.path.basename(trace.tb_frame.f_code.co_filename)}:{trace.tb_lineno}"
        trace = trace.tb_next
    return (
        f"pcaudit {__version__} failed by a fault of its own, not of this PC "
        f"({type(error).__name__}: {visible(str(error), 200)}; {where}). "
        "Please report this line and what was run to whoever gave you pcaudit."
    )


def run(arguments: list[str]) -> int:
    """Run one command.

    Args:
        arguments: As on the command line, without the program's name.

    Returns:
        The exit code.
    """
    try:
        code = _call(arguments)
        _flush()
    except PcauditError as error:
        from pcaudit.cli.diagnostics import describe

        tell(describe(error))
        _give_up()
        return exits.USAGE
    except KeyboardInterrupt:
        return exits.INTERRUPTED
    except Exception as error:
        if isinstance(error, OSError) and error.errno in _FULL and not error.filename:
            # Help and remarks are written by typer, not by pcaudit.files.
            tell(f"standard output cannot be written: {(error.strerror or '').lower()}")
            hush(sys.stdout)
            return exits.USAGE
        tell(_fault(error))
        return exits.INTERNAL
    return code


def _call(arguments: list[str]) -> int:
    try:
        if not quick.call(arguments):
            from pcaudit.cli.commands import build

            build(arguments[0] if arguments else "")(arguments, prog_name="pcaudit")
    except BrokenPipeError:  # the reader of help went away, or of what is said beside a result
        hush(sys.stdout)
    except SystemExit as end:
        return _code(end)
    return exits.DONE


def _flush() -> None:
    """Write out what is still held, while a full disk can be told of in one sentence."""
    if not sys.stdout:
        return
    try:
        sys.stdout.flush()
    except BrokenPipeError:  # the reader went away: the outcome stands
        hush(sys.stdout)
    except ValueError:  # closed
        pass


def _give_up() -> None:
    """Leave nothing for Python to write, and complain of, when it ends."""
    try:
        if sys.stdout:
            sys.stdout.flush()
    except (OSError, ValueError):
        hush(sys.stdout)


def _code(end: SystemExit) -> int:
    if end.code == 1:  # typer's, where the reader of its help went away; pcaudit ends with its own codes
        return exits.DONE
    return end.code if isinstance(end.code, int) else exits.USAGE


def main() -> None:
    """Entry point of the program."""
    ready()
    code = run(sys.argv[1:])
    sys.exit(code)
