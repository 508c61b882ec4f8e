"""While the handbook is written: a mistake stands in the page, at its top and at its step, and the last good one stays up."""

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from build_tools.content.handbook import Handbook
from build_tools.content.problems import Problem
from build_tools.content.shop import scaffold
from build_tools.paths import PROJECT
from build_tools.publishing.preview import Preview

PAGE = '<html><body><div class="content" id="content"><h1>T</h1><ol><li class="step" id="own-job.look" data-x>Look.</li><li class="step" id="own-job.turn">Turn.</li></ol></div></body></html>'


@pytest.fixture
def shop(tmp_path):
    (tmp_path / "our-shop" / "procedures").mkdir(parents=True)
    (tmp_path / "our-shop" / "procedures" / "own-job.yml").write_text(
        "id: own-job\nsteps:\n  - id: look\n    do: Look.\n  - {id: turn, doo: Turn.}\n"
    )
    return tmp_path / "our-shop"


def test_without_a_mistake_the_page_is_as_it_was(shop):
    preview = Preview()
    preview.keep((Handbook(), {}, {}), shop)
    assert preview.with_mistakes(PAGE) == PAGE


def test_the_last_good_stays_and_the_mistake_stands_at_the_top_and_at_its_step(shop, capsys):
    preview = Preview()
    good = preview.keep((Handbook(), {"index.md": "good"}, {}), shop)
    mistake = Problem("our-shop/procedures/own-job.yml", 5, 16, "E102", "No entry is called <b>'doo'</b> here.")
    assert preview.last_good([mistake], shop, pytest.fail) == good
    err = capsys.readouterr().err
    assert "our-shop/procedures/own-job.yml:5:16  E102" in err and mistake.message in err
    page = preview.with_mistakes(PAGE)
    top, look, turn = page.split("<h1>")[0], *re.findall(r"<li class=\"step\".*?</li>(?=<li class=\"step\"|</ol>)", page)
    assert "Error: 1 thing to mend" in top and "own-job.yml:5:16" in top and "&lt;b&gt;" in top
    assert "Error here:" in turn and "mistakes" not in look
    preview.keep(good, shop)
    assert preview.with_mistakes(PAGE) == PAGE


def test_with_nothing_good_yet_the_handbook_stands_without_the_shops(shop):
    preview = Preview()
    stock = (Handbook(), {"index.md": "stock"}, {})
    assert preview.last_good([Problem("our-shop/shop.yml", 1, 1, "F101", "The file is empty.")], shop, lambda: stock) == stock
    assert "our-shop/shop.yml:1:1" in preview.with_mistakes(PAGE)


# ---- the whole of it --------------------------------------------------------------------------------------------


class Served:
    """`serve` as it runs for a person."""

    def __init__(self, shop: Path):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.said = shop.with_name("serve.log")
        with self.said.open("wb") as log:
            self.run = subprocess.Popen(
                [sys.executable, "-m", "build_tools", "serve", "--shop", str(shop), "--port", str(self.port)],
                cwd=PROJECT,
                stdout=log,
                stderr=log,
                start_new_session=True,
            )

    def page(self, uri: str, until, patience: float = 600) -> str:
        """The page once it is as `until` says."""
        text, end = "", time.monotonic() + patience
        while time.monotonic() < end and self.run.poll() is None:
            try:
                with urllib.request.urlopen(f"http://127.0.0.1:{self.port}/{uri}", timeout=30) as answer:
                    text = answer.read().decode()
            except (urllib.error.URLError, TimeoutError, ConnectionError):
                text = ""
            if text and until(text):
                return text
            time.sleep(0.5)
        raise AssertionError(f"{uri} never came so; last: {text[:500]}")

    def stop(self) -> str:
        if self.run.poll() is None:
            os.killpg(self.run.pid, signal.SIGINT)
        self.run.wait(timeout=60)
        return self.said.read_text("utf-8")


@pytest.mark.slow
@pytest.mark.timeout(2400)  # three builds
def test_a_mistake_shows_in_the_page_and_goes_when_it_is_mended(tmp_path):
    shop = tmp_path / "our-shop"
    scaffold.new_shop(shop)
    path, uri = shop / "procedures" / "example-procedure.yml", "procedures/example-procedure.html"
    good = path.read_text("utf-8")
    served = Served(shop)
    try:
        first = served.page(uri, lambda text: "Judge every stud" in text)
        assert "Content-Security-Policy" not in first  # the reload is an inline script
        path.write_text(good.replace("takes_off: wheel", "takes_of: wheel"), "utf-8")
        wrong = served.page(uri, lambda text: 'class="mistakes"' in text)
        assert "Judge every stud" in wrong and wrong.count('class="mistakes"') == 2
        step = wrong[wrong.index('id="example-procedure.take-wheel-off"') :].split("</li>")[0]
        assert "Error here:" in step
        assert 'class="mistakes"' in served.page("index.html", lambda text: True)
        path.write_text(good.replace("Judge every stud", "Judge each stud"), "utf-8")
        assert 'class="mistakes"' not in served.page(uri, lambda text: "Judge each stud" in text)
    finally:
        said = served.stop()
    assert "our-shop/procedures/example-procedure.yml:" in said and "Traceback" not in said
