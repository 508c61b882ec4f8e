"""What tests share: the built site, the browsers, and the two ways a page reaches its reader."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from build_tools.dev import browsers
from build_tools.paths import PROJECT
from build_tools.publishing.mkdocs_build import build_site

CHROMIUM_FLAGS = [
    "--no-sandbox",  # the tests may run as root
    # Nothing but the page itself may ask for anything.
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]
# The driver relaxes this, and things then seem to work over file:// that do not.
FIREFOX_PREFERENCES = {"security.fileuri.strict_origin_policy": True}
PATIENCE = 280  # seconds for another process to build a site; a test has 300
BROWSER_FIXTURES = {"browser", "chromium", "firefox"}


def pytest_configure(config: pytest.Config) -> None:
    """Note for the processes that run the tests whether all of them were asked for."""
    if not hasattr(config, "workerinput"):
        some = config.option.keyword or config.option.markexpr or config.option.deselect
        whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS and not some
        os.environ["HANDBOOK_ALL_TESTS"] = "yes" if whole else ""


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--slow", action="store_true", help="also run the tests that take more than 20 s")


# What differs between the browsers (the store, files, Python's worker, the policy) is tried in both by the other files. These
# try how a page works once that holds: Chromium runs them, and Firefox with --slow.
CHROMIUM_FIRST = {"test_layout.py", "test_search.py", "test_whole_site.py", "test_axles.py", "test_beyond.py", "test_working.py"}


def parameters(item: pytest.Item) -> list[object]:
    """The values that a test was parametrized with."""
    return list(item.callspec.params.values()) if hasattr(item, "callspec") else []


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    for item in items:
        if BROWSER_FIXTURES & set(getattr(item, "fixturenames", ())):
            item.add_marker("browser")
        if config.getoption("--slow"):
            continue
        if item.get_closest_marker("slow"):
            item.add_marker(pytest.mark.skip(reason="slow: runs with --slow"))
        elif item.path.name in CHROMIUM_FIRST and "firefox" in parameters(item):
            item.add_marker(pytest.mark.skip(reason="in Firefox: runs with --slow"))


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the handbook as it ships, built once."""
    return built_once(tmp_path_factory, "site")


@pytest.fixture(scope="session")
def shop_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the handbook with the example shop's pages in it."""
    return built_once(tmp_path_factory, "shop-site", PROJECT / "build_tools" / "example_shop")


def built_once(tmp_path_factory: pytest.TempPathFactory, name: str, shop: Path | None = None) -> Path:
    """A build that the test processes share: the first to ask makes it, the others wait."""
    base = tmp_path_factory.getbasetemp()
    shared = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    folder, done = shared / name, shared / f"{name}-is-built"
    try:
        (shared / f"{name}-is-taken").touch(exist_ok=False)
    except FileExistsError:
        until = time.monotonic() + PATIENCE
        while not done.exists():
            assert time.monotonic() < until, f"the process that builds {folder} did not finish"
            time.sleep(0.2)
    else:
        build_site(folder, shop)
        done.touch()
    return folder


@pytest.fixture(scope="session")
def playwright():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        yield driver


@pytest.fixture(scope="session")
def chromium(playwright):
    """Chromium, started once. A test makes its own page: `chromium.new_page()`."""
    browser = playwright.chromium.launch(executable_path=path_of("CHROMIUM"), args=CHROMIUM_FLAGS)
    yield browser
    browser.close()


@pytest.fixture(scope="session")
def firefox(playwright):
    """Firefox with its file:// rules as a reader has them, started once."""
    browser = playwright.firefox.launch(executable_path=path_of("FIREFOX"), channel="moz-firefox", firefox_user_prefs=FIREFOX_PREFERENCES)
    yield browser
    browser.close()


@pytest.fixture(scope="session", params=["chromium", "firefox"])
def browser(request: pytest.FixtureRequest):
    """Each browser in turn."""
    return request.getfixturevalue(request.param)


@pytest.fixture(params=["chromium", "firefox"])
def browser_name(request: pytest.FixtureRequest) -> str:
    """The name of each browser in turn, for tests that start their own."""
    return request.param


def persistent(playwright, name: str, profile: Path, **options):
    """A browser with a profile of its own on disk, as a reader has; `name` is chromium or firefox."""
    if name == "chromium":
        return playwright.chromium.launch_persistent_context(profile, executable_path=path_of("CHROMIUM"), args=CHROMIUM_FLAGS, **options)
    return playwright.firefox.launch_persistent_context(
        profile, executable_path=path_of("FIREFOX"), channel="moz-firefox", firefox_user_prefs=FIREFOX_PREFERENCES, **options
    )


def path_of(variable: str) -> str:
    """The browser's path; the test fails with what to install when there is none."""
    found = browsers.find(variable)
    if not found:
        pytest.fail(f"No browser found. Set {variable} to its path, or run: python3 -m build_tools test", pytrace=False)
    return found


@pytest.fixture
def open_file(site: Path) -> Callable:
    """`open_file(page, "front/index.html", "#layout")`: open a file of the site, as a double click does."""

    def open_(page, path: str | Path = "index.html", fragment: str = ""):
        page.goto((site / path).as_uri() + fragment)
        return page

    return open_


@pytest.fixture(scope="session")
def http_server(site: Path) -> Iterator[str]:
    """The address of the site over http, with a slash at its end."""
    with serving(site) as address:
        yield address


@contextmanager
def serving(folder: Path) -> Iterator[str]:
    """Serve a folder on a free port of this machine; gives the address."""

    class Handler(SimpleHTTPRequestHandler):
        def __init__(self, *arguments, **options):
            super().__init__(*arguments, directory=str(folder), **options)

        def log_message(self, format, *arguments):
            """Say nothing: the tests read the browser's own log."""

    # Said here, since the system's own list of types may be short or wrong.
    Handler.extensions_map = {
        **SimpleHTTPRequestHandler.extensions_map,
        ".js": "text/javascript",
        ".svg": "image/svg+xml",
        ".woff2": "font/woff2",
        ".json": "application/json",
    }
    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
