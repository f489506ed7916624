"""The command line. Every command's work is imported when it runs, so that help and ``read`` start quickly."""

from __future__ import annotations

import contextlib
import os
import sys
import traceback
from collections.abc import Sequence

STOPPED = "stopped; nothing is lost; run the same command again to go on"
_INTERRUPTED = 130  # 128 + SIGINT, as shells report it


def main() -> None:
    """Runs the command that the process was called with, and ends the process with its exit status."""
    status = run(sys.argv[1:])
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        status = _reader_left()
    sys.exit(status)


def run(arguments: Sequence[str]) -> int:
    """Exit status: 0 the work was done, 1 it could not be done, 2 the call was wrong. No traceback ever."""
    import typer

    from doubtwort.cli.app import app
    from doubtwort.errors import DoubtwortError

    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        status = app(args=list(arguments), prog_name="doubtwort", standalone_mode=False)
    except DoubtwortError as error:
        return _failed(str(error), error.exit_status)
    except (KeyboardInterrupt, typer.Abort):
        status = _INTERRUPTED
    except BrokenPipeError:
        return _reader_left()
    except SystemExit as leaving:
        return leaving.code if isinstance(leaving.code, int) else 1
    except Exception as error:
        if hasattr(error, "format_message"):  # what typer raises for a wrong call, whatever its version
            context = getattr(error, "ctx", None)
            called = getattr(context, "command_path", "doubtwort")
            said = error.format_message().rstrip(".")
            return _failed(f"{said}. See: {called} --help", getattr(error, "exit_code", 2))
        return _failed(_unexpected(error), 1)
    if status == _INTERRUPTED:
        return _failed(STOPPED, _INTERRUPTED)
    return status if isinstance(status, int) else 0


def _failed(message: str, status: int) -> int:
    """One line on standard error. ``message`` may hold text of the web: no control character passes."""
    from doubtwort.text import one_line

    with contextlib.suppress(OSError):
        print(f"doubtwort: {one_line(message, 1000)}", file=sys.stderr, flush=True)
    return status


def _unexpected(error: Exception) -> str:
    """Says what broke and where, for a report."""
    frames = traceback.extract_tb(error.__traceback__)
    where = f" ({os.path.basename(frames[-1].filename)}, line {frames[-1].lineno})" if frames else ""
    if isinstance(error, OSError) and error.strerror and not isinstance(error, TimeoutError):
        named = f" ({error.filename})" if error.filename else ""
        return f"{error.strerror}{named}."
    return f"a fault of the program: {type(error).__name__}: {error}{where}. Please report this line; nothing is lost."


def _reader_left() -> int:
    """The reader of the pipe closed it (``| head``): no message, and none from the interpreter when it ends."""
    null = os.open(os.devnull, os.O_WRONLY)
    os.dup2(null, sys.stdout.fileno())
    return 1
