"""Lives in processes of their own, side by side: what each comes to does not hang on which ends first."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from threading import Thread
from typing import Any, TypeVar

from rotation.errors import StorageError
from rotation.processes import end_with_parent, unheard

Told = Callable[[str], None]
Work = Callable[[Any, Told], Any]
"""A function of a module: what is to be done, what tells how it goes on."""

T = TypeVar("T")

_tell: Told = lambda line: None  # noqa: E731  # set anew in each process


def side_by_side(
    work: Work, things: Sequence[T], processes: int, told: Told, ended: Callable[[T, Any], None] | None = None
) -> list[Any]:
    """Return what `work` makes of each thing, in their order; begun in their order, in so many processes.

    One process: here, without another. ended: told of each as it ends. What goes wrong in one stops all; so does
    Ctrl-C, which only this process hears.
    """
    if processes == 1 or len(things) < 2:
        made = []
        for thing in things:
            made.append(work(thing, told))
            if ended is not None:
                ended(thing, made[-1])
        return made
    apart, before = multiprocessing.get_context("spawn"), set(multiprocessing.active_children())
    said = apart.SimpleQueue()
    teller = Thread(target=_tell_all, args=(said, told), daemon=True)
    teller.start()
    pool = ProcessPoolExecutor(min(processes, len(things)), apart, _begin, (said,))
    try:
        with unheard():
            coming: dict[Future[Any], T] = {pool.submit(_do, work, thing): thing for thing in things}
        for future in as_completed(coming):
            made_of = future.result()
            if ended is not None:
                ended(coming[future], made_of)
        pool.shutdown()
    except BaseException as error:
        pool.shutdown(wait=False, cancel_futures=True)
        for child in set(multiprocessing.active_children()) - before:
            child.terminate()
        if isinstance(error, BrokenProcessPool):
            raise StorageError("A process of the rehearsal was ended from outside; nothing was changed.") from None
        raise
    finally:
        said.put(None)
        teller.join(1)
    return [future.result() for future in coming]


def _begin(said: Any) -> None:
    global _tell
    end_with_parent()
    _tell = said.put


def _do(work: Work, thing: Any) -> Any:
    return work(thing, _tell)


def _tell_all(said: Any, told: Told) -> None:
    while (line := said.get()) is not None:
        told(line)
