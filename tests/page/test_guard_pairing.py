"""Who gets in from the network: with a code, for few tries and not for long, and not for ever."""

from __future__ import annotations

import json
import re
import stat
from datetime import timedelta
from pathlib import Path
from urllib.parse import quote
from uuid import uuid4

import pytest
from fastapi.testclient import TestClient

from rotation import pairing
from rotation.keys import KEY, PAIRING, Keys
from rotation.page.guard import Access
from rotation.page.session import COOKIE
from tests.page.conftest import NOW, Clock, Open, Ticks, carried

NETWORK = Access(network=True)


@pytest.fixture
def keys(home: Path) -> Keys:
    return Keys(home / ".rotation")


@pytest.fixture
def phone(opened: Open) -> TestClient:
    return opened(NETWORK, ("192.168.1.7", 50000))


def tell(phone: TestClient, code: str) -> int:
    """Type a code into a phone, and return how it is answered."""
    return phone.post("/pair", data={**carried(phone.get("/pair").text), "code": code}).status_code


def pair(phone: TestClient, keys: Keys) -> None:
    code = pairing.new_code(keys, NOW)
    assert tell(phone, f"{code[:3]} {code[3:]}") == 303
    assert phone.get("/").status_code == 200


def wrong(code: str) -> str:
    return f"{(int(code) + 1) % 10**6:06}"


def test_a_phone_that_is_not_paired_sees_nothing(phone: TestClient) -> None:
    for path in ("/", "/phones", "/nothing", "/static", "/household.toml"):
        answer = phone.get(path)
        assert (answer.status_code, answer.headers["location"].split("?")[0]) == (303, "/pair")
    assert phone.post("/phones/code", data=carried_by_nobody()).status_code == 403
    assert "Pair this phone" in phone.get("/pair").text


def carried_by_nobody() -> dict[str, str]:
    return {"csrf": "0" * 64, "once": str(uuid4())}


def test_the_machine_itself_pairs_too(opened: Open) -> None:
    assert opened(NETWORK).get("/").status_code == 303


def test_a_code_lets_a_phone_in_and_its_cookie_is_for_us_alone(phone: TestClient, keys: Keys, clock: Clock) -> None:
    code = pairing.new_code(keys, NOW)
    answer = phone.post("/pair", data={**carried(phone.get("/pair").text), "code": code})
    said = answer.headers["set-cookie"]
    assert all(word in said for word in ("HttpOnly", "SameSite=Lax", "Path=/", "Max-Age=31536000"))
    assert "Secure" not in said
    assert phone.get("/").status_code == 200
    assert (phone.get("/pair").status_code, phone.get("/phones").status_code) == (303, 200)
    clock.now += timedelta(days=40)
    assert "set-cookie" in phone.get("/").headers  # who comes back is not forgotten
    clock.now += timedelta(days=364)
    assert phone.get("/").status_code == 200
    clock.now += timedelta(days=366)
    assert phone.get("/").status_code == 303


@pytest.mark.parametrize(
    ("asked", "led"),
    [
        ("/freezer/bag/B", "/freezer/bag/B"),
        ("/freezer/bag/lot @2027:1 b", "/freezer/bag/lot%20%402027%3A1%20b"),
        ("//evil.example", "/"),
        ("/\\evil.example", "/"),
        ("https://evil.example", "/"),
        ("", "/"),
    ],
)
def test_who_came_for_a_bag_is_led_to_it_and_nobody_elsewhere(
    phone: TestClient, keys: Keys, asked: str, led: str
) -> None:
    if asked.startswith("/f"):
        assert phone.get(asked).headers["location"] == f"/pair?to={quote(asked)}"
    code = pairing.new_code(keys, NOW)
    page = phone.get("/pair", params={"to": asked}).text
    found = re.search(r'name="to" value="([^"]*)"', page)
    assert found is not None
    for sent in (asked, found[1]):
        phone.cookies.clear()
        form = carried(phone.get("/pair").text)
        assert phone.post("/pair", data={**form, "code": code, "to": sent}).headers["location"] == led


def test_several_phones_pair_with_one_code(opened: Open, keys: Keys) -> None:
    code = pairing.new_code(keys, NOW)
    assert [tell(opened(NETWORK, (f"192.168.1.{n}", 1)), code) for n in (7, 8, 9)] == [303, 303, 303]


def test_a_code_is_good_for_few_wrong_tries(opened: Open, keys: Keys) -> None:
    code = pairing.new_code(keys, NOW)
    phones = [opened(NETWORK, (f"192.168.1.{number}", 1)) for number in range(pairing.TRIES)]
    assert [tell(phone, wrong(code)) for phone in phones] == [403] * pairing.TRIES
    assert "There is no code now" in phones[0].get("/pair").text
    assert not pairing.accepts(keys, code, NOW)
    pair(phones[0], keys)


def test_a_code_ends_with_its_time_and_with_the_next_one(keys: Keys) -> None:
    code = pairing.new_code(keys, NOW)
    assert pairing.accepts(keys, code, NOW + pairing.GOOD_FOR - timedelta(minutes=1))
    assert not pairing.accepts(keys, code, NOW + pairing.GOOD_FOR)
    assert not pairing.accepts(keys, code, NOW - timedelta(days=1))  # nor does a clock set back make it good again
    code = pairing.new_code(keys, NOW)
    while (after := pairing.new_code(keys, NOW)) == code:
        pass
    assert not pairing.accepts(keys, code, NOW)
    assert pairing.accepts(keys, after, NOW)


def test_no_code_is_accepted_where_none_was_made_or_it_was_spoiled(keys: Keys, home: Path) -> None:
    assert not pairing.accepts(keys, "", NOW)
    code = pairing.new_code(keys, NOW)
    path = home / ".rotation" / "page" / PAIRING
    held = json.loads(path.read_text())
    assert code not in path.read_text()
    for spoiled in ({}, {**held, "until": "soon"}, {**held, "tries": None}, {**held, "tries": 0}, [], "x"):
        path.write_text(json.dumps(spoiled))
        assert not pairing.accepts(Keys(home / ".rotation"), code, NOW)


def test_who_guesses_fast_waits(opened: Open, keys: Keys, ticks: Ticks) -> None:
    guesser = opened(NETWORK, ("192.168.1.66", 1))
    carry = None
    said = []
    for _ in range(4):
        code = pairing.new_code(keys, NOW)
        carry = carried(guesser.get("/pair").text)
        said += [guesser.post("/pair", data={**carry, "code": wrong(code)}).status_code for _ in range(3)]
    assert said[:10] == [403] * 10
    assert said[10:] == [429] * 2
    ticks.now += 60
    assert guesser.post("/pair", data={**(carry or {}), "code": wrong(code)}).status_code == 403


@pytest.mark.parametrize(
    "cookie", ["", "x", ".", "W10.x", "e30.x", "a" * 4000, 'W"', "\x7f", "null", "WzEsMiwzXQ.AAAA"], ids=repr
)
def test_a_cookie_that_is_not_ours_is_none(phone: TestClient, keys: Keys, cookie: str) -> None:
    pair(phone, keys)
    phone.cookies.clear()
    answer = phone.get("/", headers={"cookie": f"{COOKIE}={cookie}".encode("latin-1")})
    assert answer.status_code == 303


def test_a_cookie_changed_by_one_sign_is_none(phone: TestClient, keys: Keys) -> None:
    pair(phone, keys)
    ours = phone.cookies[COOKIE]
    phone.cookies.clear()
    for at in range(0, len(ours) - 1, 7):  # of the last sign some bits mean nothing
        other = ours[:at] + ("A" if ours[at] != "A" else "B") + ours[at + 1 :]
        assert phone.get("/", headers={"cookie": f"{COOKIE}={other}"}).status_code == 303
        phone.cookies.clear()
    assert phone.get("/", headers={"cookie": f"{COOKIE}={ours}"}).status_code == 200


def test_all_other_phones_are_forgotten(opened: Open, keys: Keys) -> None:
    lost, kept = (opened(NETWORK, (f"192.168.1.{number}", 1)) for number in (7, 8))
    pair(lost, keys)
    pair(kept, keys)
    assert kept.post("/phones/forget", data=carried(kept.get("/phones").text)).headers["location"] == "/phones"
    assert (lost.get("/").status_code, kept.get("/").status_code) == (303, 200)
    Keys(keys._folder.parent).renew_signing()  # as another program does it
    assert kept.get("/").status_code == 303


def test_a_paired_phone_shows_a_code_for_the_next(opened: Open, keys: Keys) -> None:
    first, second = (opened(NETWORK, (f"192.168.1.{number}", 1)) for number in (7, 8))
    pair(first, keys)
    shown = first.post("/phones/code", data=carried(first.get("/phones").text)).text
    code = shown.split('class="count">')[1].split("<")[0]
    assert tell(second, code) == 303
    assert second.get("/").status_code == 200


def test_a_form_from_elsewhere_is_refused(opened: Open) -> None:
    ours, theirs = opened(), opened()
    forms = carried(ours.get("/phones").text)
    other = carried(theirs.get("/phones").text)
    for csrf in ("", "x", "é" * 64, "0" * 64, other["csrf"]):
        answer = ours.post("/phones/feed", data={"csrf": csrf, "once": forms["once"], "who": "all"})
        assert answer.status_code in (403, 422)
    assert ours.post("/phones/feed", data={"once": forms["once"], "who": "all"}).status_code == 422
    assert ours.post("/phones/feed", data={**forms, "once": "again", "who": "all"}).status_code == 422
    assert "webcal" not in ours.get("/phones").text
    assert ours.post("/phones/feed", data={**forms, "who": "all"}).status_code == 303
    assert "webcal" in ours.get("/phones").text


def test_secrets_are_for_the_eyes_of_their_owner(keys: Keys, home: Path) -> None:
    keys.signing()
    pairing.new_code(keys, NOW)
    folder = home / ".rotation" / "page"
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert {stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()} == {0o600}
    (folder / KEY).chmod(0o644)
    key = Keys(home / ".rotation").signing()
    assert stat.S_IMODE((folder / KEY).stat().st_mode) == 0o600
    assert key == keys.signing()


@pytest.mark.parametrize("spoiled", ["", "{", "[]", '{"key": 3}', '{"key": "short"}', "\x00"])
def test_a_spoiled_key_is_made_anew(home: Path, keys: Keys, spoiled: str) -> None:
    old = keys.signing()
    (home / ".rotation" / "page" / KEY).write_text(spoiled)
    new = keys.signing()
    assert len(new) >= 32
    assert new != old
    assert Keys(home / ".rotation").signing() == new


def test_where_nothing_can_be_written_secrets_last_as_long_as_the_program(home: Path, opened: Open) -> None:
    (home / ".rotation").mkdir()
    (home / ".rotation" / "page").write_text("in the way")
    keys = Keys(home / ".rotation")
    assert keys.signing() == keys.signing()
    assert "page" in keys.forgetful
    browser = opened()
    assert browser.get("/").status_code == 200
    assert browser.post("/phones/feed", data={**carried(browser.get("/phones").text), "who": "all"}).status_code == 303
    assert "webcal" in browser.get("/phones").text
