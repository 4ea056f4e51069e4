"""What every test may ask for: a server of PostgreSQL, a real browser, a database file."""

import asyncio
import os
import shutil
from collections.abc import Iterator

import hypothesis
import pytest

from tests.environment import FOLDER, wanted_database
from tests.postgres import NoPostgres, OwnPostgres

# A law is not false because the machine was busy for a fifth of a second.
hypothesis.settings.register_profile("loftbook", deadline=None)
hypothesis.settings.load_profile("loftbook")

# Without a display, a sandbox for root, a GPU, or anything that calls its maker.
CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--use-fake-device-for-media-stream",  # a microphone that hears a beep, where it is allowed
]


# Milliseconds: the first page of a run waits for much, on a busy machine.
PATIENCE = 90_000

ASKS_FOR_ROWS = {"db", "transactional_db", "live_server", "postgres_url"}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what meets the database: the rest need not run again on the second one. Files with what is
    long are begun first, so that nothing is left for one processor alone at the end."""
    long = {item.path for item in items if item.get_closest_marker("long")}
    for item in items:
        asked = ASKS_FOR_ROWS & set(getattr(item, "fixturenames", ()))
        if asked or item.get_closest_marker("django_db"):
            item.add_marker("database")
    items.sort(key=lambda item: item.path not in long)


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """The browser's driver, once started, keeps its event loop as the running one of this thread for
    good; to a test without a browser that comes after it, none is running, as anywhere else. From its
    first step to its last, since Django has another connection to the database where a loop runs."""
    loop = asyncio._get_running_loop()
    if "chromium" not in getattr(item, "fixturenames", ()):
        asyncio._set_running_loop(None)
    yield
    if loop is not None:
        asyncio._set_running_loop(loop)


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_parallel_suffix: None) -> None:
    """Put SQLite in a file: only a file has the journal and the locks that people will meet."""
    from django.conf import settings

    if wanted_database() == "sqlite":
        settings.DATABASES["default"].setdefault("TEST", {})["NAME"] = FOLDER / "run.sqlite3"


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None) -> None:
    """A test that commits leaves rows of evidence, which only a test may clear away."""
    from tests.guards import lift_for_flush

    lift_for_flush()


@pytest.fixture(scope="session")
def postgres_url() -> Iterator[str]:
    """The address of a PostgreSQL server that lives as long as this session."""
    try:
        server = OwnPostgres()
    except NoPostgres as absence:
        pytest.skip(str(absence))
    try:
        yield server.start()
    finally:
        server.stop()


@pytest.fixture(scope="session")
def chromium() -> Iterator[object]:
    """A real browser, started once."""
    from playwright.sync_api import sync_playwright

    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        pytest.skip("Chromium is not installed: apt-get install chromium")
    # The browser's driver keeps an event loop in this thread, which Django would take for
    # an asynchronous view that queries the database.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=program, args=CHROMIUM_FLAGS)
        loop = asyncio._get_running_loop()
        yield browser
        asyncio._set_running_loop(loop)  # the last test may be one without a browser
        browser.close()


@pytest.fixture
def page(chromium: object, live_server: object) -> Iterator[object]:
    """An empty tab on a phone-sized screen; paths are relative to the running Loftbook."""
    context = chromium.new_context(  # type: ignore[attr-defined]
        base_url=live_server.url,  # type: ignore[attr-defined]
        viewport={"width": 390, "height": 844},
    )
    context.set_default_timeout(PATIENCE)
    yield context.new_page()
    context.close()
