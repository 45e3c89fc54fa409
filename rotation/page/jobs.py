"""What takes seconds: done in a process of its own, one at a time, watched by a page that may be loaded again."""

from __future__ import annotations

import multiprocessing
import sys
import traceback
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from threading import Lock, Thread
from typing import Any, Literal

from rotation.page.plain import plain_error
from rotation.processes import unheard

Progress = Callable[[str], None]
Work = Callable[..., Any]
"""What is done: a function of a module, called with arguments and with what tells how it goes on."""

MOST = 40
"""Jobs whose outcome is remembered."""

STOPPED = "It was stopped. What was planned before stays."
LOST = "It ended without an answer. What was planned before stays; start it again."


@dataclass
class Job:
    """One piece of work. kind: what it is for; about: what its page needs besides; outcome: what came of it."""

    id: str
    kind: str
    about: dict[str, Any]
    state: Literal["running", "done", "failed"] = "running"
    said: list[str] = field(default_factory=list)
    outcome: Any = None
    wrong: tuple[str, ...] = ()


class Busy(Exception):
    """Something else is being worked out. job: that."""

    def __init__(self, job: Job) -> None:
        super().__init__(job.id)
        self.job = job


class Jobs:
    """The work of one kitchen. apart: what makes processes: `multiprocessing`, or what has the same names."""

    def __init__(self, apart: Any = None) -> None:
        self._apart = apart or multiprocessing.get_context("spawn")
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._lock = Lock()
        self._process: BaseProcess | None = None

    def start(self, id_: str, kind: str, about: dict[str, Any], work: Work, *arguments: Any) -> Job:
        """Begin a piece of work, or return the one that has this id already. Raises Busy while another is under way."""
        with self._lock:
            known = self._jobs.get(id_)
            if known is not None:
                return known
            running = next((job for job in self._jobs.values() if job.state == "running"), None)
            if running is not None:
                raise Busy(running)
            job = self._jobs[id_] = Job(id_, kind, about)
            while len(self._jobs) > MOST:
                self._jobs.popitem(last=False)
            mine, its = self._apart.Pipe(False)
            process = self._apart.Process(target=_in_process, args=(its, work, arguments))
            process.daemon = True
            try:
                with unheard():
                    process.start()
            except OSError as error:
                job.state, job.wrong = "failed", (f"It could not be started: {error.strerror or error}.",)
                return job
            if isinstance(its, Connection):
                its.close()
            self._process = process
        Thread(target=self._watch, args=(job, mine, process), daemon=True).start()
        return job

    def of(self, id_: str) -> Job | None:
        """Return a piece of work, if it is remembered."""
        with self._lock:
            return self._jobs.get(id_)

    def running(self) -> Job | None:
        """Return what is being worked out."""
        with self._lock:
            return next((job for job in self._jobs.values() if job.state == "running"), None)

    def stop(self, id_: str) -> None:
        """Stop a piece of work; what it had not yet kept is lost."""
        with self._lock:
            job, process = self._jobs.get(id_), self._process
            if job is None or job.state != "running":
                return
            job.state, job.wrong = "failed", (STOPPED,)
        if process is not None:
            process.terminate()

    def close(self) -> None:
        """Stop whatever is under way."""
        running = self.running()
        if running is not None:
            self.stop(running.id)

    def _watch(self, job: Job, mine: Connection[Any, Any], process: BaseProcess) -> None:
        """Take what a process tells, until it has ended."""
        try:
            what = "said"
            while what == "said":
                what, told = mine.recv()
                with self._lock:
                    if job.state != "running":
                        continue
                    if what == "said":
                        if told not in job.said[-1:]:
                            job.said.append(told)
                    elif what == "done":
                        job.state, job.outcome = "done", told
                    else:
                        job.state, job.wrong = "failed", tuple(told)
        except (EOFError, OSError):
            pass
        finally:
            mine.close()
            process.join()
            with self._lock:
                if job.state == "running":
                    job.state, job.wrong = "failed", (LOST,)


def _in_process(to: Connection[Any, Any], work: Work, arguments: tuple[Any, ...]) -> None:
    """Do the work in a process of its own, and send what comes of it."""
    from calendars.store import CalendarError
    from rotation.errors import RotationError

    try:
        outcome = work(*arguments, lambda line: to.send(("said", line)))
    except (RotationError, CalendarError) as error:
        to.send(("failed", plain_error(error)))
    except KeyboardInterrupt:
        to.send(("failed", [STOPPED]))
    except Exception as error:
        traceback.print_exception(error, file=sys.stderr)
        to.send(("failed", ["Something went wrong that should not have. Nothing was changed that is not said here."]))
    else:
        to.send(("done", outcome))
    finally:
        to.close()
