"""Measure how long a page takes from opening to its first verdict, beside the naive way to do the same.

Naive means: Pyodide as it comes from npm, over http, on the main thread, pint with its default units and the
calculators as sources. The two take turns, each run in a fresh browser profile. Ratios tell more than times.
"""

from __future__ import annotations

import functools
import importlib.util
import json
import os
import re
import shutil
import statistics
import tempfile
import threading
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import unquote, urlsplit

from build_tools.browser.bundle import PYODIDE, package_files
from build_tools.browser.packs import PACKS
from build_tools.dev import browsers
from build_tools.errors import BuildFailed
from build_tools.paths import PROJECT
from build_tools.publishing.mkdocs_build import build_site

if TYPE_CHECKING:  # only the tests' set-up has it
    from playwright.sync_api import Browser, Playwright

RUNS = 5
PAGE = "calculators/rotor-thickness.html"
PROCEDURE = "procedures/front-brake-service.html"
# Twelve micrometer readings round a rotor and its discard thickness; made up.
GIVEN = {"readings": "24.13; 24.12; 24.10; 24.11; 24.13; 24.14; 24.12; 24.11", "discard": "22.4"}
GOALS = {"ratio": 0.45, "stall": 50, "packs": 8.0, "page": 1.0}
CHROMIUM_FLAGS = ["--no-sandbox", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-first-run"]

LOADED_BY_PAGE = re.compile(r"""<(?:script|img|link)\b[^>]*?\s(?:src|href)=["']?([^"'\s>]+)""")
LOADED_BY_STYLES = re.compile(r"""url\(\s*["']?([^"')]+)""")

# Runs before the page's own scripts: notes when the verdict stands, and the longest time the main thread was away.
WATCH = """
(() => {
  self.bench = { verdict: null, stall: 0 };
  const TICK = 4;
  let last = performance.now();
  const tick = () => {
    const now = performance.now();
    if (document.readyState === "complete") bench.stall = Math.max(bench.stall, now - last - TICK);
    last = now;
    if (bench.verdict === null) setTimeout(tick, TICK);
  };
  tick();
  const look = () => {
    if (bench.verdict === null && document.querySelector(".verdict")) bench.verdict = performance.now();
  };
  new MutationObserver(look).observe(document, { subtree: true, childList: true });
  addEventListener("load", () => {
    const form = document.querySelector("form.calculator");
    for (const [name, value] of Object.entries(GIVEN)) {
      const input = form?.elements.namedItem(name);
      if (!input) continue;
      input.value = value;
      input.dispatchEvent(new Event("input", { bubbles: true }));
    }
    // Enter: the rest after the last key is the reader's time, not the page's.
    form?.elements.namedItem("discard")?.dispatchEvent(new KeyboardEvent("keydown", { key: "Enter", bubbles: true }));
  });
})();
"""

NAIVE = """<!doctype html>
<meta charset="utf-8">
<title>Naive start</title>
<div id="answer"></div>
<script src="pyodide/pyodide.js"></script>
<script type="module">
const python = await loadPyodide({ indexURL: new URL("pyodide/", location.href).href });
const sources = await (await fetch("sources.zip")).arrayBuffer();
python.unpackArchive(sources, "zip", { extractDir: "/lib/python3.14/site-packages" });
const text = python.runPython(`
import pint
registry = pint.UnitRegistry()
registry.Quantity(1, "inch").to("mm")
from calculators.calls.browser import evaluate
evaluate
`)(JSON.stringify(REQUEST));
const verdict = document.createElement("p");
verdict.className = "verdict";
verdict.textContent = JSON.parse(text).result.verdict.text;
document.getElementById("answer").append(verdict);
</script>
"""


def main() -> int:
    """Build the handbook and the naive page, measure, print. Returns 0; a goal missed is printed, not an error."""
    with tempfile.TemporaryDirectory(prefix="bench-") as folder:
        site, naive = Path(folder, "site"), Path(folder, "naive")
        build_site(site)
        make_naive(naive)
        print_sizes(site)
        measure(site / PAGE, naive)
    return 0


def make_naive(folder: Path) -> None:
    """Write the naive page with all it loads into `folder`."""
    folder.mkdir(parents=True)
    shutil.copytree(PROJECT / PYODIDE, folder / "pyodide")
    with zipfile.ZipFile(folder / "sources.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        for pack in PACKS:
            for package in pack.packages:
                # All but pint's own tests: its default units are files of the package.
                for name, content in package_files(PROJECT, replace(package, leave_out=("testsuite",))).items():
                    archive.writestr(name, content)
    request = json.dumps({"calculator": "rotor-thickness", "given": GIVEN, "system": "metric"})
    (folder / "index.html").write_text(NAIVE.replace("REQUEST", request), encoding="utf-8")


def measure(page: Path, naive: Path) -> None:
    """Print the medians of `RUNS` runs each way in both browsers."""
    if importlib.util.find_spec("playwright") is None:
        raise BuildFailed(["The bench drives browsers with playwright, which is not installed. Run: python3 -m build_tools test"])
    from playwright.sync_api import sync_playwright

    watch = WATCH.replace("GIVEN", json.dumps(GIVEN))
    print(f"\nPage open to first verdict, medians of {RUNS} runs in fresh profiles")
    print(f"{'':10}{'handbook, file://':>20}{'naive, http':>14}{'ratio':>8}{'longest stall':>16}{'naive':>8}")
    with sync_playwright() as driver, serving(naive) as address:
        for name in browsers.NAMES:
            ours, theirs = [], []
            for _ in range(RUNS):
                ours.append(run(driver, name, page.as_uri(), watch))
                theirs.append(run(driver, name, address, watch))
            time_, naive_time = (statistics.median(r["verdict"] for r in runs) for runs in (ours, theirs))
            stall, naive_stall = (statistics.median(r["stall"] for r in runs) for runs in (ours, theirs))
            print(
                f"{name.lower():10}{time_:>17.0f} ms{naive_time:>11.0f} ms{time_ / naive_time:>8.2f}{stall:>13.0f} ms{naive_stall:>5.0f} ms"
            )
    print(f"Goals: ratio {GOALS['ratio']}, longest stall {GOALS['stall']} ms.")
    if hasattr(os, "getloadavg"):
        print(
            f"{os.cpu_count()} cores; {os.getloadavg()[0]:.1f} programs at work at the end, the browsers among them. "
            "On a busy machine every stall is longer."
        )


def run(driver: Playwright, name: str, address: str, watch: str) -> dict[str, float]:
    """One run in a fresh profile: {"verdict": ms, "stall": ms}. Raises BuildFailed when no verdict comes."""
    browser = launch(driver, name)
    try:
        page = browser.new_page()
        page.add_init_script(watch)
        page.goto(address)
        try:
            page.wait_for_selector(".verdict", timeout=30_000)
        except Exception:
            state = page.locator(".calculator__state").all_inner_texts()[:1]
            raise BuildFailed([f"{name.lower()} gave no verdict on {address} within 30 s. {' '.join(state)}"]) from None
        measured: dict[str, float] = page.evaluate("self.bench")
        return measured
    finally:
        browser.close()


def launch(driver: Playwright, name: str) -> Browser:
    path = browsers.find(name)
    if name == "CHROMIUM":
        return driver.chromium.launch(executable_path=path, args=CHROMIUM_FLAGS)
    # The driver relaxes the file:// rules, and a page then opens differently from a double click.
    preferences: dict[str, str | float | bool] = {"security.fileuri.strict_origin_policy": True}
    return driver.firefox.launch(executable_path=path, channel="moz-firefox", firefox_user_prefs=preferences)


@contextmanager
def serving(folder: Path) -> Iterator[str]:
    """Serve a folder on a free port of this machine; gives the address."""

    class Handler(SimpleHTTPRequestHandler):
        extensions_map = {
            **SimpleHTTPRequestHandler.extensions_map,
            ".js": "text/javascript",
            ".mjs": "text/javascript",
            ".wasm": "application/wasm",
        }

        def log_message(self, format: str, *arguments: object) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Handler, directory=str(folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        server.server_close()


def print_sizes(site: Path) -> None:
    """Print the bytes of the packs, of a page with its own assets, and of everything."""
    packs = {pack.name: (site / f"assets/packs/{pack.name}.js").stat().st_size for pack in PACKS if pack.start}
    parts = ", ".join(f"{name} {size / 1e6:.2f}" for name, size in packs.items())
    print(f"Packs of the first calculation: {sum(packs.values()) / 1e6:.2f} MB ({parts}); goal {GOALS['packs']:.0f} MB")
    for page in (PAGE, PROCEDURE):
        if (site / page).exists():
            size = page_bytes(site, page)
            print(f"{page} with its own assets: {size / 1e6:.2f} MB; goal {GOALS['page']:.0f} MB")
    print(f"The whole site: {sum(f.stat().st_size for f in site.rglob('*') if f.is_file()) / 1e6:.2f} MB")


def page_bytes(site: Path, page: str) -> int:
    """Bytes of a page and of the files it loads, and its style sheets load; what scripts load later is not counted."""
    site, seen = site.resolve(), set()
    waiting = [site / page]
    while waiting:
        path = waiting.pop()
        if path in seen or not path.is_file():
            continue
        seen.add(path)
        loads = {".html": LOADED_BY_PAGE, ".css": LOADED_BY_STYLES}.get(path.suffix)
        for link in loads.findall(path.read_text("utf-8")) if loads else ():
            target = urlsplit(link)
            if not target.scheme and target.path:
                waiting.append((path.parent / unquote(target.path)).resolve())
    return sum(path.stat().st_size for path in seen)
