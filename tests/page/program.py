"""`rotation serve` as a program of its own, for tests that begin it, ask it, and end or kill it."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import httpx2 as httpx

from tests.commands.test_errors import environment


@dataclass
class Served:
    """A running program. said: what it printed so far, up to where it listens."""

    process: subprocess.Popen[str]
    said: list[str] = field(default_factory=list)

    @property
    def port(self) -> int:
        found = re.search(r":(\d+)/", "".join(self.said))
        assert found is not None, self.said
        return int(found[1])

    @property
    def root(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def listen(self, lines: int) -> None:
        """Read what it says as it begins; then it listens."""
        assert self.process.stdout is not None
        self.said = [self.process.stdout.readline() for _ in range(lines)]

    def browser(self) -> httpx.Client:
        return httpx.Client(base_url=self.root, timeout=30)

    def ended(self, how: signal.Signals) -> tuple[int, str, str]:
        """Send a signal to it and all that it started, as a terminal does; return exit code, and what else it said."""
        os.killpg(self.process.pid, how)
        out, err = self.process.communicate(timeout=60)
        return self.process.returncode, out, err


@contextmanager
def served(household: Path, *more: str, lines: int = 1) -> Iterator[Served]:
    """Run the program on a free port until the test is done with it."""
    words = [sys.executable, "-m", "rotation", "serve", "--household", str(household), "--port", "0", *more]
    process = subprocess.Popen(
        words, env=environment() | {"PYTHONUNBUFFERED": "1"}, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        start_new_session=True,
    )  # fmt: skip
    running = Served(process)
    try:
        running.listen(lines)
        yield running
    finally:
        process.kill()
        process.communicate()
