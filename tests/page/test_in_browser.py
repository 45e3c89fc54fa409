"""The page in a real browser: every page at every size, light and dark; flows with the server gone and back."""

from __future__ import annotations

import multiprocessing.dummy
import re
import shutil
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Thread
from time import monotonic, sleep
from typing import TYPE_CHECKING

import pytest
import uvicorn

from rotation.page.app import create_app
from rotation.page.guard import Access
from rotation.page.jobs import Jobs
from tests.browser import PHONE, SCHEMES, SIZES, browser, opened, small_targets, too_wide, violations
from tests.page.kitchen import SATURDAY, Clock, at, planned
from tests.page.test_flows import left_in

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

__all__ = ["browser", "planned"]

PAGES = (
    "/", "/week", "/freezer", "/freezer/count", "/freezer/add", "/freezer/bag/A", "/freezer/bag/Q", "/guests", "/plan",
    "/freezer/outage", "/freezer/outage/advice?what=cut&hours=60", "/freezer/outage/advice?what=lid", "/eaten",
    "/calendars", "/timers", "/step/sat-thaw", "/step/sat-shape", "/shopping", "/phones", "/nothing",
)  # fmt: skip
DAILY = ("/", "/freezer", "/step/sat-thaw", "/guests")
"""Pages looked at in the quick suite."""

HEAVIEST = 60_000
"""Bytes of a first load, all that belongs to it included."""


class Served:
    """A household's page on a port of this machine, that can go away and come back."""

    def __init__(self, folder: Path, clock: Clock, access: Access | None = None) -> None:
        self.folder, self.clock, self.access = folder, clock, access
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self.server: uvicorn.Server | None = None

    @property
    def address(self) -> str:
        return f"http://localhost:{self.port}"

    def start(self) -> None:
        app = create_app(self.folder, self.clock, self.access)
        app.state.jobs = Jobs(multiprocessing.dummy)
        self.server = uvicorn.Server(
            uvicorn.Config(app, host="127.0.0.1", port=self.port, log_level="error", timeout_graceful_shutdown=1)
        )
        self._thread = Thread(target=self.server.run, daemon=True)
        self._thread.start()
        end = monotonic() + 20
        while not self.server.started and monotonic() < end:
            sleep(0.02)

    def stop(self) -> None:
        if self.server is not None:
            self.server.should_exit = True
            self._thread.join(20)


@pytest.fixture
def clock() -> Clock:
    return Clock(f"{SATURDAY}07:46")


@pytest.fixture
def served(planned: Path, tmp_path: Path, clock: Clock) -> Iterator[Served]:
    folder = Path(shutil.copytree(planned, tmp_path / "home"))
    one = Served(folder, clock)
    one.start()
    yield one
    one.stop()


@contextmanager
def seen(browser: Browser, served: Served, size: tuple[int, int] = PHONE, **more: object) -> Iterator[Page]:
    """Yield a page of a phone; nothing may be asked of another host, and no script or style may be refused."""
    with opened(browser, size, **more) as page:  # type: ignore[arg-type]
        elsewhere: list[str] = []
        wrong: list[str] = []
        page.on("request", lambda asked: elsewhere.append(asked.url))
        page.on("console", lambda said: wrong.append(said.text) if "Content Security" in said.text else None)
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(served.address)
        yield page
        assert not [url for url in elsewhere if not url.startswith((served.address, "data:"))]
        assert not wrong


def look_at(page: Page, served: Served, path: str) -> list[str]:
    """Return what is wrong with a page: for helpers of those who cannot see, too wide, too small to tap."""
    page.goto(served.address + path)
    return [f"{path}: {one}" for one in (*violations(page), *too_wide(page), *small_targets(page))]


@pytest.fixture
def networked(planned: Path, tmp_path: Path, clock: Clock) -> Iterator[Served]:
    one = Served(Path(shutil.copytree(planned, tmp_path / "net")), clock, Access(network=True))
    one.start()
    yield one
    one.stop()


def test_the_page_that_asks_for_the_code_is_fit_for_everybody(browser: Browser, networked: Served) -> None:
    for scheme in SCHEMES:
        with seen(browser, networked, scheme=scheme) as page:
            assert look_at(page, networked, "/pair") == []
            assert page.title().startswith("Pair")


def test_every_page_is_fit_for_everybody_on_a_phone_in_the_dark(browser: Browser, served: Served) -> None:
    with seen(browser, served, scheme="dark") as page:
        assert [wrong for path in DAILY for wrong in look_at(page, served, path)] == []


@pytest.mark.long
@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("size", "moment"), [*zip(SIZES, ("17:10", "18:20", "22:30"), strict=True)])
def test_every_page_at_every_size(browser: Browser, served: Served, size: str, scheme: str, moment: str) -> None:
    served.clock.now = at(f"{SATURDAY}{moment}")
    with seen(browser, served, SIZES[size], scheme=scheme) as page:
        assert [wrong for path in PAGES for wrong in look_at(page, served, path)] == []


def test_a_first_load_is_light(browser: Browser, served: Served) -> None:
    with opened(browser, PHONE) as page:
        sizes: dict[str, int] = {}
        page.on("response", lambda got: sizes.update({got.url: len(got.body())}))
        for path in ("/", "/week", "/freezer"):
            page.goto(served.address + path, wait_until="networkidle")
        assert len(sizes) >= 5
        assert sum(sizes.values()) < HEAVIEST, sizes


def test_a_tap_that_does_not_get_through_says_so_and_is_tapped_again(browser: Browser, served: Served) -> None:
    with seen(browser, served) as page:
        page.get_by_role("button", name="Done").wait_for()
        served.stop()
        page.get_by_role("button", name="Done").click()
        alert = page.get_by_role("alert").filter(has_text="does not answer")
        alert.wait_for()
        assert left_in(served.folder, served.clock) == {}, "nothing was recorded"
        served.start()
        page.get_by_role("button", name="Done").click()
        page.get_by_role("status").filter(has_text="Done: bread out").wait_for()
        assert left_in(served.folder, served.clock) == {"A": 1}
        page.get_by_role("button", name="Undo").click()
        page.get_by_role("status").filter(has_text="Taken back: bread out").wait_for()
        assert left_in(served.folder, served.clock) == {"A": 2}


def test_without_script_a_lost_answer_is_asked_for_again_and_counts_once(browser: Browser, served: Served) -> None:
    with seen(browser, served, java_script_enabled=False) as page:
        lost: list[str] = []

        def lose_the_first_answer(route: object) -> None:
            if not lost:
                lost.append(route.fetch(max_redirects=0).headers["location"])  # type: ignore[attr-defined]
                route.abort()  # type: ignore[attr-defined]
            else:
                route.continue_()  # type: ignore[attr-defined]

        page.route("**/step/sat-thaw/done", lose_the_first_answer)
        page.get_by_role("button", name="Done").click(no_wait_after=True)
        page.wait_for_timeout(300)
        assert left_in(served.folder, served.clock) == {"A": 1}, "it was done, only its answer was lost"
        page.reload()
        page.get_by_role("status").filter(has_text="Done: bread out").wait_for()
        assert left_in(served.folder, served.clock) == {"A": 1}


def test_all_by_keyboard(browser: Browser, served: Served) -> None:
    with seen(browser, served) as page:
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "main"
        for _ in range(20):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.textContent").strip() == "Done":
                break
        outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        assert outline == "solid", "who uses keys sees where they are"
        page.keyboard.press("Enter")
        page.get_by_role("status").filter(has_text="Done: bread out").wait_for()


def test_it_counts_down_without_being_loaded_again(browser: Browser, served: Served) -> None:
    served.clock.now = at(f"{SATURDAY}17:00")
    with opened(browser, PHONE) as page:
        page.clock.install()
        page.goto(f"{served.address}/timers?still=1")
        count = page.locator(".count")
        assert count.text_content() == "in 5 min"
        page.clock.run_for(3 * 60_000)
        assert count.text_content() == "in 2 min"
        page.clock.run_for(4 * 60_000)
        assert count.text_content() == "2 min ago"


def test_planning_is_watched_and_survives_being_loaded_again(browser: Browser, served: Served) -> None:
    with seen(browser, served) as page:
        page.goto(f"{served.address}/plan")
        page.get_by_role("button", name="A quick look").click()
        page.get_by_text("Working it out").wait_for()
        address = page.url
        assert violations(page) == []
        page.goto(served.address)
        page.goto(address)
        page.get_by_role("heading", name="The new plan").wait_for(timeout=60_000)
        assert page.url == address
        assert look_at(page, served, re.sub(r"^http://[^/]+", "", address)) == []


@pytest.mark.long
@pytest.mark.parametrize(("size", "scheme"), [("phone", "light"), ("tablet", "dark"), ("desktop", "light")])
def test_a_day_by_taps(browser: Browser, served: Served, size: str, scheme: str) -> None:
    """One Saturday: bread out, guests asked, dough that is slow, a rescue, the count, the calendars."""
    settings = served.folder / "household.toml"
    settings.write_text(settings.read_text(encoding="utf-8") + '\n[entries]\npath = "calendars/bread"\n', "utf-8")
    with seen(browser, served, SIZES[size], scheme=scheme) as page:
        page.set_default_timeout(60_000)

        def tap(name: str) -> None:
            page.get_by_role("button", name=name, exact=True).first.click()

        def told(text: str) -> None:
            page.get_by_text(text).first.wait_for()
            page.wait_for_load_state()
            assert (violations(page), too_wide(page), small_targets(page)) == ([], [], []), text

        tap("Done")
        told("Done: bread out")
        page.get_by_role("link", name="Guests").click()
        page.get_by_label("At the table").fill("5")
        page.get_by_label("Day").fill("2027-03-07")
        page.get_by_label("Time").fill("18:30")
        page.get_by_label("sesame").check()
        tap("Will it do?")
        told("Count on them")
        page.get_by_role("link", name="Freezer").click()
        page.get_by_role("link", name="Count").click()
        page.get_by_label("bag A").fill("3")
        tap("That is what is there")
        told("2 in: 2 of bag A")
        tap("Undo")
        told("Freezer: 2 out")
        served.clock.now = at(f"{SATURDAY}17:05")
        page.goto(served.address)
        tap("All as planned")
        told("All as planned:")
        tap("Undo")
        told("Taken back: shape")
        page.goto(f"{served.address}/step/sat-shape")
        tap("Not yet: what now?")
        told("Give it the time it wants")
        tap("Do this")
        told("The new plan")
        tap("Write into the calendars…")
        told("to add.")
        tap("Write this")
        told("added.")
        assert list((served.folder / "calendars/bread").glob("*.ics"))


@pytest.mark.long
def test_hostile_words_stay_words(browser: Browser, planned: Path, tmp_path: Path) -> None:
    """Titles of calendars and names of breads with tags, right-to-left marks and no end of letters."""
    folder = Path(shutil.copytree(planned, tmp_path / "home"))
    hostile = '<script>document.title="got in"</script>\u202egnihton ' + "w" * 9_000
    calendar = folder / "calendars/family.ics"
    text = calendar.read_bytes().decode()
    calendar.write_bytes(text.replace("Supper with friends", hostile).encode())
    bread = folder / "breads/country.toml"
    bread.write_text(bread.read_text().replace("Country loaf", "<b>Country</b> " + "x" * 100), "utf-8")
    served = Served(folder, Clock(f"{SATURDAY}07:46"))
    served.start()
    try:
        with seen(browser, served, size=SIZES["phone"]) as page:
            page.goto(f"{served.address}/plan")
            page.get_by_role("button", name="A quick look").click()
            page.get_by_role("heading", name="The new plan").wait_for(timeout=60_000)
            for path in ("/", "/week", "/freezer", "/freezer/count", "/freezer/add", "/calendars", "/timers"):
                wrong = look_at(page, served, path)
                assert wrong == []
                assert page.title() != "got in"
                assert page.locator("main b, main script").count() == 0
                assert "\u202e" not in (page.locator("main").text_content() or "")
    finally:
        served.stop()
