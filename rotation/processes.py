"""What every process that the program starts beside itself has to have: it ends with us, and only when we say so."""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing import resource_tracker
from threading import Thread


@contextmanager
def unheard() -> Iterator[None]:
    """Have what is started meanwhile not hear Ctrl-C, which a terminal sends to all: we end it ourselves, in order."""
    if not hasattr(signal, "pthread_sigmask"):  # pragma: no cover  # not a POSIX system
        yield
        return
    resource_tracker.ensure_running()  # what `spawn` starts first; it lets signals through again once it has
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def end_with_parent() -> None:
    """Have this process end when the one that started it does, however that ends."""
    parent = multiprocessing.parent_process()

    def watch() -> None:
        assert parent is not None
        parent.join()
        os._exit(1)

    if parent is not None:
        Thread(target=watch, daemon=True).start()
