"""No text of a shop runs, hides or leads anywhere it may not, with the content-security policy and without it.

`tests/injection/` holds the texts; here a shop whose every text is one of them is built, and its pages are opened.
"""

import re
import shutil
from pathlib import Path
from urllib.parse import quote

import pytest

from build_tools.publishing.mkdocs_build import build_site
from tests.browser.procedure_page import make_page, opened, start_job, step
from tests.browser.shop_pages import address, write_shop_data
from tests.injection.corpus import PAYLOADS
from tests.injection.hostile_shop import write

# What a page may hold, looked at as the browser has read it.
SCAN = """() => {
  const found = [];
  for (const box of document.querySelectorAll('*')) {
    for (const { name, value } of box.attributes) {
      if (/^on/i.test(name)) found.push(`${box.tagName} ${name}`);
      if (name === 'style' && box !== document.documentElement) found.push(`${box.tagName} style`);
      if (/^\\s*(javascript|data|vbscript):/i.test(value) && ['href', 'src', 'action', 'formaction', 'data', 'xlink:href'].includes(name)) found.push(`${box.tagName} ${value}`);
    }
  }
  for (const box of document.querySelectorAll('base, iframe, frame, object, embed, style, meta[http-equiv=refresh i], form[action], [formaction]')) found.push(box.outerHTML.slice(0, 80));
  for (const link of document.querySelectorAll('link')) if (!['stylesheet', 'icon'].includes(link.rel)) found.push(link.outerHTML);
  for (const script of document.scripts) if (!script.src && script.type !== 'application/json') found.push(script.outerHTML.slice(0, 80));
  const site = new URL(document.querySelector('meta[name="handbook:root"]').content + '/', location.href).href;
  for (const box of document.querySelectorAll('script[src], link[href], img[src]')) if (!(box.src || box.href).startsWith(site)) found.push(box.outerHTML.slice(0, 80));
  if (top.ran) found.push('a script ran');
  return found;
}"""


@pytest.fixture(scope="module")
def hostile(tmp_path_factory) -> Path:
    """The handbook with a shop whose every text is hostile."""
    folder = tmp_path_factory.mktemp("hostile")
    build_site(folder / "site", write(folder / "shop"))
    return folder / "site"


@pytest.fixture(scope="module")
def unguarded(hostile, tmp_path_factory) -> Path:
    """The same pages with the policy taken away: what holds then holds by escaping alone."""
    copy = tmp_path_factory.mktemp("unguarded") / "site"
    shutil.copytree(hostile, copy)
    for path in pages_with_texts(copy):
        text = path.read_text("utf-8")
        bare, count = re.subn(r'<meta http-equiv="?Content-Security-Policy"?[^>]*>', "", text)
        assert count == 1, path
        path.write_text(bare, "utf-8")
    return copy


def pages_with_texts(site: Path) -> list[Path]:
    """Every page that shows a text of the shop: its own, and those of the handbook that name them."""
    named = [
        site / name
        for name in (
            "index.html",
            "procedures/index.html",
            "reference/glossary.html",
            "reference/vehicles.html",
            "reference/safety.html",
            "reference/coverage.html",
            "own/page.html",
        )
    ]
    return [*named, *sorted(site.glob("procedures/hostile-*.html")), *sorted(site.glob("shop/*.html"))]


def test_there_are_texts_enough_and_each_one_stands_in_the_site(hostile):
    assert len(PAYLOADS) >= 250
    assert len(pages_with_texts(hostile)) > 50


def test_nothing_runs_without_the_policy(chromium, unguarded):
    assert seen(chromium, pages_with_texts(unguarded)) == {}


def test_nothing_runs_with_it(chromium, hostile):
    assert seen(chromium, pages_with_texts(hostile)[::5]) == {}


def test_nothing_runs_in_the_other_browser(firefox, unguarded):
    assert seen(firefox, pages_with_texts(unguarded)[::6]) == {}


def seen(browser, paths) -> dict[str, list[str]]:
    page = browser.new_page()
    bad = {}
    try:
        for path in paths:
            page.goto(path.as_uri(), wait_until="load")
            if found := page.evaluate(SCAN):
                bad[path.name] = found
    finally:
        page.close()
    return bad


def test_no_text_hides_a_safety_message(chromium, hostile):
    """`{: hidden }` behind a text gave the element around it attributes: the worst case is a message that nobody sees."""
    page = chromium.new_page()
    count = 0
    try:
        for path in sorted(hostile.glob("procedures/hostile-*.html")):
            page.goto(path.as_uri(), wait_until="load")
            messages = page.locator(".caution")
            assert messages.count() > 0
            for each in messages.element_handles():
                assert each.evaluate("box => !box.closest('[hidden], .other-layout') && getComputedStyle(box).display !== 'none'"), (
                    path.name
                )
                assert each.text_content().strip(), path.name
                count += 1
    finally:
        page.close()
    assert count > 300


def test_every_text_is_shown_as_it_was_written(chromium, hostile):
    """Escaped once and not twice, cut nowhere: the reader sees the very characters."""
    page = chromium.new_page()
    shown = ""
    try:
        for path in sorted(hostile.glob("procedures/hostile-*.html")):
            page.goto(path.as_uri(), wait_until="load")
            shown += page.evaluate("() => document.querySelector('article').textContent")
    finally:
        page.close()
    flat = re.sub(r"\s+", "", shown)
    missing = [payload for payload in PAYLOADS if re.sub(r"\s+", "", payload) not in flat]
    assert missing == []


# ---- the routes inside the browser ------------------------------------------------------------------------------------


def test_no_address_runs(chromium, unguarded):
    """Every text as the query and as the fragment of a page that reads both."""
    page = chromium.new_page()
    try:
        for start in range(0, len(PAYLOADS), 8):
            text = quote(" ".join(PAYLOADS[start : start + 8]))
            page.goto(f"{(unguarded / 'own/page.html').as_uri()}?{text}#{text}", wait_until="load")
            assert page.evaluate("top.ran") is None, text
        assert [found for found in page.evaluate(SCAN) if "data:" not in found] == []
    finally:
        page.close()


def test_no_saved_page_runs(chromium, unguarded):
    """Every text as the HTML, the title and the entries of a page in `shop-data.js`, which anybody may have written."""
    write_shop_data(unguarded, {f"pages/hostile-{n}.md": f"<h1>{payload}</h1><p>{payload}</p>" for n, payload in enumerate(PAYLOADS)})
    page = chromium.new_page()
    bad = {}
    try:
        for number, payload in enumerate(PAYLOADS):
            page.goto(address(unguarded, f"pages/hostile-{number}.md"), wait_until="load")
            if found := page.evaluate(SCAN):
                bad[payload] = found
            assert page.url.startswith(unguarded.as_uri()), payload
    finally:
        page.close()
        (unguarded / "shop-data.js").unlink()
    assert bad == {}


def test_no_record_runs(chromium, tmp_path):
    """Every text as vehicle, name and note of a job, shown on the page, on the printed sheet and from the job's file."""
    context = chromium.new_context()
    there = opened(context, make_page(tmp_path / "site"))
    start_job(there, vehicle=f"Van {PAYLOADS[2]}", name=f"A. Sample {PAYLOADS[3]}")
    box = step(there, "inspect/pads")
    batches = [" ".join(PAYLOADS[start : start + 15]) for start in range(0, len(PAYLOADS), 15)]
    for count, batch in enumerate(batches, 1):
        box.locator("textarea").first.fill(batch)
        box.locator('.record [data-place="LF"]').click()
        there.wait_for_function(
            "count => document.querySelectorAll('[data-step=\"inspect/pads\"] .step__value').length >= count", arg=count
        )
    there.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert there.evaluate("self.ran") is None
    assert (
        there.locator(
            "script:not([src]):not([type='application/json']), iframe, object, embed, base, [onerror], [onload], [onfocus]"
        ).count()
        == 0
    )
    shown = re.sub(r"\s+", "", there.locator(".sheet-record").text_content())
    assert [payload for payload in PAYLOADS if re.sub(r"\s+", "", payload) not in shown] == []
    context.close()
