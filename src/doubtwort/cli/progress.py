"""What the program is doing, on standard error, for chases that take longer than a moment."""

from __future__ import annotations

import sys
from threading import Lock, Timer
from types import TracebackType
from typing import IO

from rich.console import Console
from rich.status import Status
from rich.text import Text

from doubtwort.text import one_line

PATIENCE = 1.0  # seconds
_LONGEST = 200


class Progress:
    """Shows the latest thing told to it, once a second has passed; shows nothing where nobody watches (no terminal).

    Any thread may tell. The line is gone when the block is left, so that only the result stays.
    """

    def __init__(self, file: IO[str] | None = None, patience: float = PATIENCE) -> None:
        self._console = Console(file=file or sys.stderr, highlight=False, markup=False, emoji=False)
        self._patience = patience
        self._lock = Lock()
        self._said = "starting"
        self._status: Status | None = None
        self._timer: Timer | None = None

    def __call__(self, said: str) -> None:
        """Tells what is being done, e.g. "fetching http://herb.example/x"."""
        with self._lock:
            self._said = one_line(said, _LONGEST)
            if self._status is not None:
                self._status.update(self._line())

    def __enter__(self) -> Progress:
        if self._console.is_terminal:
            self._timer = Timer(self._patience, self._show)
            self._timer.daemon = True
            self._timer.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._timer is not None:
            self._timer.cancel()
        with self._lock:
            self._timer = None
            if self._status is not None:
                self._status.stop()
                self._status = None

    def _show(self) -> None:
        with self._lock:
            if self._timer is not None and self._status is None:
                self._status = self._console.status(self._line(), spinner="line")
                self._status.start()

    def _line(self) -> Text:
        """As text that is no markup: addresses may hold square brackets."""
        return Text(self._said, no_wrap=True, overflow="ellipsis")
