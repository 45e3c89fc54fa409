"""What stands before every view: names, sizes, rates, headers, errors."""

from __future__ import annotations

from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from rotation.ledger import Ledger
from rotation.page.guard import MOST_BYTES, OF_ONE_ADDRESS, Access
from tests.page.conftest import Open, Ticks, carried


def test_every_answer_is_strict(browser: TestClient) -> None:
    for path in ("/", "/nothing", "/static/0/page.css"):
        said = browser.get(path).headers
        assert said["content-security-policy"].startswith("default-src 'none'")
        assert "unsafe" not in said["content-security-policy"]
        assert (said["x-content-type-options"], said["referrer-policy"]) == ("nosniff", "no-referrer")


def test_a_file_of_ours_is_kept_for_ever_and_no_other_is_served(browser: TestClient) -> None:
    from rotation.page.rendering import static

    assert "immutable" in browser.get(static("page.css")).headers["cache-control"]
    assert browser.get("/static/0/page.css").headers["cache-control"] == "no-cache"
    for path in (
        "/static/0/..%2fapp.py",
        "/static/0/app.py",
        "/static/..%2f..%2fapp.py",
        "/household.toml",
        "/openapi.json",
    ):
        assert browser.get(path).status_code == 404


@pytest.mark.parametrize("host", ["evil.example", "evil.example:8000", "192.168.1.9", "", "localhost.evil.example"])
def test_another_name_is_refused(browser: TestClient, host: str) -> None:
    assert browser.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("host", ["localhost", "LOCALHOST:8000", "127.0.0.1:8000", "[::1]:8000", "[::1]"])
def test_this_machine_has_these_names(browser: TestClient, host: str) -> None:
    assert browser.get("/", headers={"host": host}).status_code == 200


def test_on_the_network_it_is_known_by_figures_and_given_names() -> None:
    access = Access(network=True, names=("kitchen.home.example",))
    assert access.known("192.168.1.9:8000")
    assert access.known("[fd00::9]:8000")
    assert access.known("Kitchen.home.example:8000")
    assert not access.known("evil.example:8000")


def test_too_long_a_form_is_not_read(browser: TestClient) -> None:
    kind = {"content-type": "application/x-www-form-urlencoded"}
    assert browser.post("/", content=b"a" * (MOST_BYTES + 1), headers=kind).status_code == 413
    pieces = (b"a" * 1024 for _ in range(MOST_BYTES // 1024 + 2))
    assert browser.post("/", content=pieces, headers=kind).status_code == 413


def test_only_forms_of_our_own_are_read(browser: TestClient) -> None:
    assert browser.post("/", json={}).status_code == 415
    from_elsewhere = {"sec-fetch-site": "cross-site"}
    assert browser.post("/", data={"a": "b"}, headers=from_elsewhere).status_code == 403


def test_a_device_that_asks_too_often_waits(opened: Open, ticks: Ticks) -> None:
    phone = opened(Access(network=True), ("192.168.1.7", 50000))
    said = [phone.get("/pair", headers={"host": "192.168.1.9"}).status_code for _ in range(OF_ONE_ADDRESS.at_once)]
    assert 429 not in said
    assert phone.get("/", headers={"host": "192.168.1.9"}).status_code == 429
    ticks.now += 60
    assert phone.get("/", headers={"host": "192.168.1.9"}).status_code != 429


def test_a_fault_shows_nothing_inside(
    browser: TestClient, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def boom(*_: object) -> None:
        raise RuntimeError("the secret of the house")

    monkeypatch.setattr("rotation.page.kitchen.Kitchen.home", boom)
    answer = browser.get("/")
    assert answer.status_code == 500
    assert "secret" not in answer.text
    id_ = answer.text.split("Fault ")[1][:8]
    assert f"Fault {id_} at GET /" in capsys.readouterr().err


def test_a_broken_household_says_what_check_says(browser: TestClient, home: Path) -> None:
    assert browser.get("/").status_code == 200
    settings = home / "household.toml"
    whole = settings.read_text(encoding="utf-8")
    settings.write_text(whole + "\n[kitchn]\nbowls = -1\n", encoding="utf-8")
    answer = browser.get("/")
    assert answer.status_code == 503
    assert "household.toml:" in answer.text
    assert "kitchn" in answer.text
    assert str(home) not in answer.text
    settings.write_text(whole, encoding="utf-8")
    assert browser.get("/").status_code == 200


def test_a_tap_that_cannot_be_recorded_says_so_and_can_be_sent_again(browser: TestClient, home: Path) -> None:
    page = browser.get("/freezer").text
    (home / ".rotation" / "ledger.sqlite").mkdir()
    form = {**carried(page), "kind": "country|part-baked", "units": "1"}
    answer = browser.post("/freezer/take", data=form)
    assert answer.status_code == 503
    assert str(home) not in answer.text
    assert f'name="once" value="{form["once"]}"' in answer.text
    assert 'name="units" value="1"' in answer.text
    (home / ".rotation" / "ledger.sqlite").rmdir()
    again = carried(answer.text.split("<main", 1)[1])
    assert again["once"] == form["once"]
    assert browser.post("/freezer/take", data={**form, **again}).status_code == 303
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        assert [one.id for one in ledger.history()][1:] == [form["once"]]
