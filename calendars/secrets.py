"""Passwords and secret addresses: asked of the system's keyring, a command, or the environment when they are needed.

They are never written down, logged, put into an error or given to a command as an argument.
"""

from __future__ import annotations

import os
import shlex
import subprocess
from threading import Lock

from calendars.store import CalendarError

SERVICE = "bread-rotation"
"""Under which a keyring holds what `keyring` asks for, each by the name of its calendar."""
SECONDS_FOR_A_COMMAND = 60
"""Long enough to type the password of a password store."""
_ONE_QUESTION = Lock()  # calendars are read at the same time, and a keyring or a command may ask a person
HOW = 'write "keyring", "command: ..." with a command that prints it, or "env: NAME"'


class NoSecret(CalendarError):
    """A password cannot be had. `str(error)` says from where it was asked, never what was answered."""


def is_source(source: str) -> bool:
    """Return whether the text says where a secret is, rather than being one."""
    kind, colon, rest = _parts(source)
    return (kind == "keyring" and (not colon or bool(rest))) or (kind in ("command", "env") and bool(rest))


def secret(source: str, *, calendar: str, user: str = "") -> str:
    """Return the secret that `source` speaks of. Raises NoSecret; neither source nor answer is in its words.

    "keyring": the keyring's entry for `calendar` under SERVICE. "keyring: SERVICE": that service's entry for `user`.
    "command: pass show family": the first line that the command prints; no shell is used. "env: NAME": a variable.
    """
    kind, _, rest = _parts(source)
    if not is_source(source):
        raise NoSecret(f"{calendar}: it is not said where the password is; {HOW}")
    with _ONE_QUESTION:
        if kind == "keyring":
            return _of_keyring(rest or SERVICE, user if rest else calendar, calendar)
        if kind == "command":
            return _of_command(rest, calendar)
    found = os.environ.get(rest, "")
    if not found:
        raise NoSecret(f"{calendar}: the environment variable {rest} is empty or not set")
    return found


def _parts(source: str) -> tuple[str, str, str]:
    """Return the kind of source, ":" or "", and what follows."""
    kind, colon, rest = source.partition(":")
    return kind.strip().casefold(), colon, rest.strip()


def _of_keyring(service: str, entry: str, calendar: str) -> str:
    """Return what the system's keyring holds."""
    try:
        import keyring
        from keyring.errors import KeyringError
    except ImportError:
        raise NoSecret(f"{calendar}: no keyring can be asked; install the package keyring, or {HOW}") from None
    try:
        found = keyring.get_password(service, entry)
    except KeyringError as error:
        raise NoSecret(f"{calendar}: the system's keyring does not answer ({type(error).__name__})") from None
    if not found:
        raise NoSecret(f"{calendar}: the keyring holds nothing for it; say: keyring set {shlex.join((service, entry))}")
    return found


def _of_command(command: str, calendar: str) -> str:
    """Return the first line a command prints. What it says on stderr goes to the terminal, as it may have to ask."""
    try:
        words = shlex.split(command)
        done = subprocess.run(
            words, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, timeout=SECONDS_FOR_A_COMMAND, check=False
        )
    except subprocess.TimeoutExpired:
        raise NoSecret(f"{calendar}: the command for its password gave none in {SECONDS_FOR_A_COMMAND} s") from None
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or "it cannot be taken apart into words"
        raise NoSecret(f"{calendar}: the command for its password cannot be run: {reason}") from None
    lines = done.stdout.decode(errors="replace").splitlines()
    if done.returncode != 0 or not lines or not lines[0]:
        raise NoSecret(f"{calendar}: the command for its password ended with {done.returncode} and printed none")
    return lines[0]
