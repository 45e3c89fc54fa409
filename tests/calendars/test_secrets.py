"""Secrets come from a keyring, a command or the environment, and are repeated by nothing."""

from __future__ import annotations

import shlex
import subprocess
import sys
from typing import ClassVar

import pytest

from calendars import secrets
from calendars.secrets import SERVICE, NoSecret, is_source, secret

keyring = pytest.importorskip("keyring")


class Ring(keyring.backend.KeyringBackend):  # type: ignore[misc]  # keyring's base class is untyped here
    priority = 1
    held: ClassVar = {(SERVICE, "Family"): "s3cret", ("mail", "jo"): "s3cret two"}

    def get_password(self, service: str, username: str) -> str | None:
        return self.held.get((service, username))

    def set_password(self, service: str, username: str, password: str) -> None:
        raise AssertionError

    def delete_password(self, service: str, username: str) -> None:
        raise AssertionError


class Locked(Ring):
    def get_password(self, service: str, username: str) -> str | None:
        raise keyring.errors.KeyringLocked("s3cret")


@pytest.fixture(autouse=True)
def ring(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keyring.core, "_keyring_backend", Ring())


def command(code: str) -> str:
    return f"command: {shlex.join((sys.executable, '-c', code))}"


@pytest.mark.parametrize("source", ["keyring", "Keyring", "keyring: mail", "command: pass show a", "env:A", "env: A"])
def test_sources(source: str) -> None:
    assert is_source(source)


@pytest.mark.parametrize("source", ["", "s3cret", "keyring:", "command:", "command", "env: ", "file: a", "https://a"])
def test_what_is_no_source_is_not_told(source: str) -> None:
    assert not is_source(source)
    with pytest.raises(NoSecret, match="it is not said where the password is") as caught:
        secret(source, calendar="Family")
    assert not source or f"{source};" not in str(caught.value)


def test_of_a_keyring() -> None:
    assert secret("keyring", calendar="Family") == "s3cret"
    assert secret("keyring: mail", calendar="Family", user="jo") == "s3cret two"
    with pytest.raises(NoSecret, match="keyring set bread-rotation 'The Oven'"):
        secret("keyring", calendar="The Oven")


def test_of_a_keyring_that_is_locked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keyring.core, "_keyring_backend", Locked())
    with pytest.raises(NoSecret, match=r"does not answer \(KeyringLocked\)") as caught:
        secret("keyring", calendar="Family")
    assert "s3cret" not in str(caught.value)


def test_of_a_keyring_that_is_not_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "keyring", None)
    with pytest.raises(NoSecret, match="install the package keyring"):
        secret("keyring", calendar="Family")


def test_of_a_command() -> None:
    assert secret(command("print('s3 cret ü'); print('url: x')"), calendar="Family") == "s3 cret ü"


@pytest.mark.parametrize(
    ("source", "words"),
    [
        (command("print('s3cret'); raise SystemExit(3)"), "ended with 3"),
        (command(""), "printed none"),
        ("command: no-such-program s3cret", "cannot be run: No such file"),
        ("command: 'unclosed s3cret", "cannot be taken apart"),
        ("env: BREAD_ROTATION_NOTHING", "BREAD_ROTATION_NOTHING is empty or not set"),
    ],
)
def test_none_is_had(source: str, words: str) -> None:
    with pytest.raises(NoSecret, match=words) as caught:
        secret(source, calendar="Family")
    assert "s3cret" not in f"{caught.value}{caught.value.__cause__}"
    assert str(caught.value).startswith("Family: ")


def test_a_command_that_never_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(secrets, "SECONDS_FOR_A_COMMAND", 0.2)
    with pytest.raises(NoSecret, match=r"gave none in 0\.2 s"):
        secret(command("import time; time.sleep(30)"), calendar="Family")


def test_no_shell_is_used_and_nothing_is_typed_for_it(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[list[str]] = []
    real = subprocess.run
    monkeypatch.setattr(subprocess, "run", lambda words, **how: (seen.append(words), real(words, **how))[1])
    with pytest.raises(NoSecret):
        secret("command: no-such-program; echo $HOME", calendar="Family")
    assert seen == [["no-such-program;", "echo", "$HOME"]]


def test_of_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FAMILY_PASSWORD", "s3cret")
    assert secret("env: FAMILY_PASSWORD", calendar="Family") == "s3cret"
