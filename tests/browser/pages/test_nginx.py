"""The configuration for nginx in docs/passing-on.md, with Debian's nginx: what it sends, and that the page works by it."""

from __future__ import annotations

import gzip
import hashlib
import http.client
import os
import re
import shutil
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from build_tools.dev import browsers
from build_tools.paths import PROJECT
from tests.browser.whole_site import opened_page, outside

DOCS = (PROJECT / "docs" / "passing-on.md").read_text("utf-8")
# What an installation brings by itself: everything of its own is in one folder, and it needs no rights.
FRAME = """
daemon off; master_process off; worker_processes 1;
pid {here}/pid; error_log stderr warn;
events {{ worker_connections 64; }}
http {{
    access_log off;
    client_body_temp_path {here}/body; proxy_temp_path {here}/proxy; fastcgi_temp_path {here}/fastcgi;
    uwsgi_temp_path {here}/uwsgi; scgi_temp_path {here}/scgi;
{documented}
}}
"""
PACK = "assets/packs/stdlib.js"


def documented(port: int, root: Path) -> str:
    """The configuration as it is written, with another port and folder."""
    (text,) = re.findall(r"```nginx\n(.*?)```", DOCS, re.DOTALL)
    changed = text.replace("listen 80;", f"listen 127.0.0.1:{port};").replace("root /srv/handbook;", f"root {root};")
    assert changed.count(str(port)) == 1 and changed.count(str(root)) == 1
    return changed


@pytest.fixture(scope="module")
def server(site) -> Iterator[tuple[str, int]]:
    """nginx with the site, as a user without rights; gives host and port."""
    program = browsers.nginx()
    if program is None:
        pytest.skip("nginx is not installed (on Debian: apt install nginx-light), so its configuration is not tried")
    with tempfile.TemporaryDirectory(prefix="nginx-") as folder, socket.socket() as plug:
        here = Path(folder)
        shutil.copytree(site, here / "site")
        plug.bind(("127.0.0.1", 0))
        port = plug.getsockname()[1]
        plug.close()
        (here / "nginx.conf").write_text(FRAME.format(here=here, documented=documented(port, here / "site")), "utf-8")
        nobody = without_rights(here)
        running = subprocess.Popen(
            [program, "-p", folder, "-c", str(here / "nginx.conf"), "-e", "stderr"], stderr=subprocess.PIPE, text=True, **nobody
        )
        try:
            wait_for(running, port)
            yield "127.0.0.1", port
        finally:
            running.terminate()
            said = running.communicate(timeout=20)[1]
        assert [line for line in said.splitlines() if "directory index" not in line] == []  # nothing wrong with the configuration


def without_rights(here: Path) -> dict:
    """Root hands its rights back, and the folder with them."""
    if getattr(os, "geteuid", lambda: 1)() != 0:
        return {}
    for path in (here, *here.rglob("*")):
        os.chown(path, 65534, 65534)
    return {"user": 65534, "group": 65534, "extra_groups": []}


def wait_for(running: subprocess.Popen, port: int) -> None:
    for _ in range(100):
        if running.poll() is not None:
            pytest.fail(running.communicate()[1])
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    pytest.fail("nginx does not answer")


def ask(server, path: str, method: str = "GET", **headers: str) -> tuple[int, dict[str, str], bytes]:
    """Status, headers in small letters, body as it was sent."""
    connection = http.client.HTTPConnection(*server, timeout=20)
    connection.request(method, path, headers={name.replace("_", "-"): value for name, value in headers.items()})
    answer = connection.getresponse()
    found = answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read()
    connection.close()
    return found


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/", "text/html; charset=utf-8"),
        ("/procedures/set-bearing.html", "text/html; charset=utf-8"),
        ("/assets/handbook.js", "text/javascript; charset=utf-8"),
        ("/assets/contents.json", "application/json; charset=utf-8"),
        ("/styles/base.css", "text/css; charset=utf-8"),
        ("/drawings/mark.svg", "image/svg+xml; charset=utf-8"),
        ("/SHA256SUMS", "text/plain; charset=utf-8"),
    ],
)
def test_type_bytes_and_headers(server, site, path, kind):
    status, headers, body = ask(server, path)
    assert (status, headers["content-type"], headers["cache-control"]) == (200, kind, "no-cache")
    assert headers["x-content-type-options"] == "nosniff" and headers["content-security-policy"] == "frame-ancestors 'none'"
    assert body == (site / (path.strip("/") or "index.html")).read_bytes()
    again, headers, body = ask(server, path, If_None_Match=headers["etag"])
    assert (again, body) == (304, b"")


def test_a_typeface(server, site):
    name = next((site / "assets/typefaces").glob("*.woff2"))
    status, headers, body = ask(server, f"/assets/typefaces/{name.name}", Accept_Encoding="gzip")
    assert (status, headers["content-type"], body) == (200, "font/woff2", name.read_bytes())
    assert "content-encoding" not in headers


@pytest.mark.parametrize(
    "path", ["index.html", "assets/handbook.js", "assets/contents.json", "styles/base.css", "drawings/rotor-hub.svg", PACK]
)
def test_it_is_compressed_on_the_way(server, site, path):
    status, headers, body = ask(server, f"/{path}", Accept_Encoding="gzip")
    assert (status, headers["content-encoding"], headers["vary"]) == (200, "gzip", "Accept-Encoding")
    assert gzip.decompress(body) == (site / path).read_bytes()
    assert len(body) < 0.8 * (site / path).stat().st_size
    assert ask(server, f"/{path}", Accept_Encoding="gzip", If_None_Match=headers["etag"])[0] == 304


def test_nothing_is_kept_for_good_whatever_checksum_is_asked_for(server, site):
    def kept(path):
        return ask(server, path, "HEAD")[1]["cache-control"]

    right = hashlib.sha256((site / PACK).read_bytes()).hexdigest()[:12]
    for path in (
        f"/{PACK}?v=0123456789ab",
        f"/{PACK}?v={right}",
        f"/{PACK}",
        f"/{PACK}?v=",
        f"/{PACK}?v=x",
        "/index.html?v=0123456789ab",
        "/assets/handbook.js?v=0123456789ab",
    ):
        assert kept(path) == "no-cache", path
    assert "immutable" not in DOCS and "max-age" not in DOCS


def test_nothing_else_is_handed_out(server):
    assert ask(server, "/nowhere.html")[0] == 404
    status, headers, _ = ask(server, "/shop-data.js")
    assert (status, headers["content-type"]) == (
        404,
        "text/javascript; charset=utf-8",
    )  # until the shop saves one; no page of HTML that a browser refuses
    assert headers["cache-control"] == "no-cache" and headers["x-content-type-options"] == "nosniff"
    assert ask(server, "/nowhere.html")[1]["cache-control"] == "no-cache"
    assert ask(server, "/../nginx.conf")[0] == 400 and ask(server, "/%2e%2e/nginx.conf")[0] == 400
    assert ask(server, "/assets/")[0] == 403  # no list of files
    assert ask(server, "/index.html", "POST")[0] == 405
    assert re.fullmatch("nginx", ask(server, "/")[1]["server"])


def test_a_calculator_works_by_it_and_its_packs_travel_once(server, chromium):
    top = f"http://{server[0]}:{server[1]}/"
    with opened_page(chromium) as page:
        for visit in range(2):
            page.goto(f"{top}calculators/rotor-thickness.html")
            page.fill("form.calculator [name=readings]", "25.13; 25.12; 25.13; 25.12; 25.13; 25.12; 25.13; 25.12")
            page.fill("form.calculator [name=discard]", "24.4 mm")
            page.locator(".verdict--within").wait_for(timeout=60_000)
            loaded = page.evaluate("""() => performance.getEntriesByType("resource").filter(({name}) => name.includes("/packs/"))
                .map(({name, transferSize}) => [new URL(name).search, transferSize])""")
            assert len(loaded) >= 4 and all(re.fullmatch(r"\?v=[0-9a-f]{12}", search) for search, _ in loaded)
            if visit:
                assert all(size < 1_000 for _, size in loaded), loaded  # a line that says it is unchanged, from the browser's own store
        assert page.said == [] and outside(page.asked, top) == []
