"""`rotation serve` and `rotation phones` as people run them."""

from __future__ import annotations

import re
import signal
import socket
from pathlib import Path

import pytest

from rotation.commands import serve
from rotation.errors import BadInput
from tests.commands.conftest import Run, rotation
from tests.page.conftest import carried
from tests.page.program import served

__all__ = ["rotation"]


def test_on_this_machine_alone_until_ctrl_c(home: Path) -> None:
    with served(home) as program:
        assert "on this machine alone. Ctrl-C ends it." in program.said[0]
        with program.browser() as browser:
            assert browser.get("/").status_code == 200
            assert "server" not in browser.get("/").headers
            assert browser.get("/feed/a-secret-of-ours.ics").status_code == 404
            taken = serve_again(home, program.port)
            assert program.ended(signal.SIGINT) == (0, "Ended.\n", "")
        assert "Address already in use" in taken
        assert "--port 0" in taken


def serve_again(home: Path, port: int) -> str:
    with pytest.raises(BadInput) as said:
        serve._listening("127.0.0.1", port)
    return str(said.value)


def test_ctrl_c_ends_what_is_being_worked_out_too(home: Path) -> None:
    with served(home) as program, program.browser() as browser:
        form = carried(browser.get("/freezer").text)
        where = browser.post("/plan", data={**form, "work": "usual"}).headers["location"]
        assert browser.get(where).headers["refresh"] == "2"
        assert program.ended(signal.SIGINT) == (0, "Ended.\n", "")


def test_phones_of_the_network_pair_with_what_the_terminal_shows(home: Path, rotation: Run) -> None:
    with served(home, "--network", lines=3) as program:
        code = re.search(r"Pair a phone with (\d{3} \d{3}) within 15 minutes", program.said[1])
        assert code is not None
        assert "not encrypted" in program.said[2]
        with program.browser() as phone:
            assert phone.get("/").headers["location"] == "/pair"
            form = carried(phone.get("/pair").text)
            assert phone.post("/pair", data={**form, "code": code[1]}).status_code == 303
            assert phone.get("/").status_code == 200
            assert rotation("phones", "forget", "--household", home).out.startswith("All phones are forgotten")
            assert phone.get("/").status_code == 303
            after = rotation("phones", "pair", "--household", home).out
            form = carried(phone.get("/pair").text)
            assert phone.post("/pair", data={**form, "code": code[1]}).status_code == 403
            assert phone.post("/pair", data={**form, "code": after[:7]}).status_code == 303
            assert phone.get("/").status_code == 200
        code_, out, err = program.ended(signal.SIGINT)
        assert (code_, err) == (0, "")
        assert after[:7] not in out


def test_a_household_that_is_broken_is_served_and_says_so(home: Path) -> None:
    (home / "household.toml").write_text('name = "Home"\n', encoding="utf-8")
    with served(home) as program, program.browser() as browser:
        answer = browser.get("/")
        assert answer.status_code == 503
        assert "household.toml:" in answer.text
        assert str(home) not in answer.text
        _, _, err = program.ended(signal.SIGINT)
    assert "household.toml" in err
    assert "The page says the same until this is mended." in err
    assert "Traceback" not in err


def test_where_nothing_can_be_recorded_it_says_so(home: Path) -> None:
    (home / ".rotation").write_text("in the way", encoding="utf-8")
    with served(home) as program, program.browser() as browser:
        assert browser.get("/").status_code == 200
        _, _, err = program.ended(signal.SIGINT)
    assert "Nothing can be recorded" in err
    assert "Traceback" not in err


def test_what_is_no_household_is_not_served(rotation: Run, tmp_path: Path, home: Path) -> None:
    ran = rotation("serve", "--household", tmp_path / "none")
    assert (ran.code, ran.out) == (2, "")
    assert "rotation new" in ran.err
    for words in (["--host", "no.such.name.invalid"], ["--host", "203.0.113.7"], ["--port", "99999"], ["--port", "x"]):
        ran = rotation("serve", "--household", home, *words)
        assert (ran.code, ran.out) == (2, "")


def test_answers_are_sent_at_once() -> None:
    """Asyncio lets go of waiting for a fuller packet only where a socket says by name that it is TCP's."""
    with serve._listening("127.0.0.1", 0) as listening:
        assert listening.proto == socket.IPPROTO_TCP


def test_which_addresses_are_this_machine() -> None:
    assert all(serve._is_here(one) for one in ("127.0.0.1", "127.9.9.9", "::1", "localhost"))
    assert not any(serve._is_here(one) for one in ("0.0.0.0", "::", "192.168.1.9", "kitchen.home.example"))
