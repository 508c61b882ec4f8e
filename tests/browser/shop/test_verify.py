"""The page «Check this copy» over file://, and the page that stands before the handbook."""

from __future__ import annotations

import os
import re
import shutil
from pathlib import Path

import pytest

from build_tools.exchange.checksums import LIST, sha256
from build_tools.publishing.publish import checksums
from tests.browser.shop_pages import write_shop_data
from tests.browser.whole_site import opened_page, text, violations


@pytest.fixture
def copy(site, tmp_path) -> Path:
    """A copy that a test may damage; large files are linked, and replaced whole."""
    shutil.copytree(site, tmp_path / "stick" / "handbook")
    return tmp_path / "stick" / "handbook"


def found(page, folder: Path, opened: Path) -> tuple[str, str, dict[str, list[str]]]:
    """Verdict, what it says, and the files by their heading, of the folder that is picked on the page of `opened`."""
    page.goto((opened / "verify.html").as_uri())
    pick(page, folder)
    page.locator(".copy-check__verdict").wait_for(timeout=30_000)
    box = page.locator(".copy-check__found")
    groups = dict(
        zip(box.locator("h3").all_inner_texts(), [each.locator("li").all_inner_texts() for each in box.locator("ul").all()], strict=True)
    )
    return text(box.locator(".copy-check__verdict")), text(box.locator(".copy-check__says")), groups


def pick(page, folder: Path) -> None:
    """Pick a folder. Firefox's driver picks files only: they keep their bytes, and get their paths by their times."""
    picker = page.locator(".copy-check input[type=file]")
    if page.context.browser.browser_type.name == "chromium":
        picker.set_input_files(folder)
        return
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    for number, path in enumerate(files):
        os.utime(path, (1_000_000_000 + number, 1_000_000_000 + number))
    page.evaluate(
        """(paths) => {
        document.querySelector(".copy-check input[type=file]").webkitdirectory = false;
        Object.defineProperty(File.prototype, "webkitRelativePath", {get() { return paths[this.lastModified / 1000 - 1e9]; }});
    }""",
        [path.relative_to(folder.parent).as_posix() for path in files],
    )
    picker.set_input_files(files)


def changed(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(content)


def relisted(copy: Path) -> None:
    """Make the list say what lies there, as one would who exchanges files and list."""
    (copy / LIST).write_text("".join(f"{digest}  {name}\n" for name, digest in sorted(checksums(copy).items())), "utf-8", newline="\n")


def test_a_copy_is_checked_by_its_own_page(browser, copy, site):
    with opened_page(browser) as page:
        verdict, says, groups = found(page, copy, copy)
        build = page.locator('meta[name="handbook:build"]').get_attribute("content")
        assert (verdict, groups) == ("Whole", {}) and build in says
        assert text(page.locator(".copy-check__digest code")) == sha256((copy / LIST).read_bytes())
        assert violations(page) == []

        # What a shop has is its own; the stick itself may be picked, with other things on it.
        write_shop_data(copy, {})
        (copy / "jobs").mkdir()
        (copy / "jobs" / "job-1.json").write_text("{}")
        (copy.parent / "letter.txt").write_text("dear")
        assert found(page, copy.parent, copy)[::2] == ("Whole", {"This shop’s own, not compared": ["jobs/job-1.json"]})
        said = (
            re.escape("The shop’s own pages: shop-data.js: 0 pages, 0 vehicle sheets, as they were saved. Fingerprint ") + "[0-9a-f]{16}[.]"
        )
        assert re.fullmatch(said, text(page.locator(".copy-check__shop")))

        # A flip in it, or a script in its place: the handbook's own files are whole, and the page says what is not.
        whole = (copy / "shop-data.js").read_bytes()
        for content, why in (
            (whole.replace(b"self.shopData", b"self.ran = 1; self.shopData"), "is not what the page “Write a page” saves"),
            (whole.replace(b"0123456789ab", b"0123456789ac"), "Changed or damaged since it was saved"),
        ):
            (copy / "shop-data.js").write_bytes(content)
            assert found(page, copy, site)[0] == "Handbook whole, shop’s pages not"
            assert why in text(page.locator(".copy-check__shop"))
        (copy / "shop-data.js").write_bytes(whole)

        changed(copy / "assets" / "packs" / "wasm.js")
        changed(copy / "drawings" / "mark.svg")
        (copy / "procedures" / "set-bearing.html").unlink()
        verdict, says, groups = found(page, copy, copy)
        assert verdict == "Damaged" and says.startswith("3 of ")
        assert groups["Changed"] == ["assets/packs/wasm.js", "drawings/mark.svg"] and groups["Missing"] == ["procedures/set-bearing.html"]
        assert page.said == []


def test_an_exchanged_list_and_another_build_are_noticed(browser, copy, site):
    with opened_page(browser) as page:
        start = copy / "index.html"
        start.write_text(start.read_text("utf-8").replace("never invents", "always invents"), "utf-8")
        relisted(copy)
        verdict, says, groups = found(page, copy, copy)
        assert verdict == "List exchanged" and groups == {}

        start.write_text(re.sub(r'(handbook:build"? content="?)[0-9a-f]{12}', r"\g<1>0123456789ab", start.read_text("utf-8")), "utf-8")
        relisted(copy)
        verdict, says, _ = found(page, copy, site)
        assert verdict == "Another build" and "0123456789ab" in says

        shutil.copy(site / "index.html", start)
        changed(copy / LIST)
        assert found(page, copy, copy)[0] == "List exchanged"
        (copy / LIST).unlink()
        assert found(page, copy, copy)[0] == "No handbook"


def test_the_first_page_says_to_unpack_only_where_it_stands_alone(browser, site, tmp_path):
    alone = tmp_path / "alone"
    alone.mkdir()
    shutil.copy(site / "START-HERE.html", alone)
    with opened_page(browser) as page:
        for folder, shown in ((alone, True), (site, False)):
            page.goto((folder / "START-HERE.html").as_uri())
            page.wait_for_timeout(300)
            assert page.get_by_text("A browser cannot open pages that are still packed.").is_visible() is shown
        assert violations(page) == []
        page.get_by_role("link", name="Open the handbook").click()
        assert page.locator("h1").inner_text() == "Wheel-end service handbook"
