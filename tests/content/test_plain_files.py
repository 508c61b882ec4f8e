"""A shop's folder gives only plain files of its own, pictures that are pictures, and names that every system can hold."""

import json
import os
from pathlib import Path

import pytest

from build_tools.content import json_schema
from build_tools.content.load import load_with_problems
from build_tools.content.mistakes import MISTAKES
from build_tools.content.report import report
from build_tools.content.shop import plain_files, scaffold
from build_tools.content.shop.import_pages import ImportPagesError, import_pages
from build_tools.errors import BuildFailed
from build_tools.exchange import shop_data
from build_tools.paths import PROJECT

PNG = (PROJECT / "build_tools" / "content" / "shop" / "new_shop" / "picture.png").read_bytes()
JPG, GIF, WEBP = b"\xff\xd8\xff\xe0" + b"\0" * 20, b"GIF89a" + b"\0" * 20, b"RIFF\x10\0\0\0WEBPVP8 " + b"\0" * 8


@pytest.fixture
def shop(tmp_path):
    folder = tmp_path / "our-shop"
    for name in ("pages", "pictures", "procedures"):
        (folder / name).mkdir(parents=True)
    (folder / "shop.yml").write_text("name: Test shop (invented)\n")
    (tmp_path / "secret.md").write_text("A secret of this computer.")
    (tmp_path / "secret.png").write_bytes(PNG)
    (tmp_path / "elsewhere").mkdir()
    return folder


def said(shop: Path) -> list[str]:
    """What is said about the folder; each in one line that can be shown, with a correct example."""
    handbook, problems = load_with_problems(shop.parent / "elsewhere", shop)
    assert "secret" not in repr(handbook.shop_pages)
    for problem in problems:
        assert str(problem).isprintable() and problem.correct and problem.code in MISTAKES
        assert report([problem])
    return [str(problem) for problem in problems]


def linked(path: Path, target: Path) -> None:
    try:
        path.symlink_to(target, target_is_directory=target.is_dir())
    except OSError:
        pytest.skip("this system makes no links")


def test_a_plain_folder_is_taken(shop):
    (shop / "pages" / "notes.md").write_text("Notes.")
    for name, raw in {"a.png": PNG, "b.jpg": JPG, "c.jpeg": JPG, "d.gif": GIF, "e.webp": WEBP, "F.PNG": PNG}.items():
        (shop / "pictures" / name).write_bytes(raw)
    handbook, problems = load_with_problems(shop.parent / "elsewhere", shop)
    assert problems == [] and list(handbook.shop_pages) == ["notes.md"]
    assert sorted(handbook.pictures) == ["F.PNG", "a.png", "b.jpg", "c.jpeg", "d.gif", "e.webp"]


@pytest.mark.parametrize(
    ("name", "target"),
    [
        ("pictures/evil.png", "secret.png"),
        ("pages/evil.md", "secret.md"),
        ("procedures/evil.yml", "secret.md"),
        ("terms.yml", "secret.md"),
        ("pages/more", "elsewhere"),
        ("cautions", "elsewhere"),
        ("pictures/gone.png", "not-there.png"),
        ("pages/loop", "our-shop"),
    ],
)
def test_a_link_is_not_followed(shop, name, target):
    linked(shop / name, shop.parent / target)
    (line,) = said(shop)
    assert line.startswith(f"our-shop/{name}:1:1: F115 This is a link to somewhere else"), line


def test_a_linked_folder_of_pictures_is_not_followed(shop):
    (shop / "pictures").rmdir()
    linked(shop / "pictures", shop.parent)
    assert "our-shop/pictures:1:1: F115" in said(shop)[0]
    assert not load_with_problems(shop.parent / "elsewhere", shop)[0].pictures


def test_a_link_where_nothing_is_read_is_nobodys_business(shop):
    linked(shop / "Downloads", shop.parent / "elsewhere")
    assert said(shop) == []


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes in folders")
@pytest.mark.parametrize("name", ["pages/pipe.md", "pictures/pipe.png", "terms.yml"])
def test_a_pipe_is_refused_and_not_waited_for(shop, name):
    os.mkfifo(shop / name)
    (line,) = said(shop)
    assert f"our-shop/{name}:1:1: F115 This is not a plain file" in line


@pytest.mark.parametrize(
    ("name", "raw", "says"),
    [
        ("evil.png", b"root:x:0:0", "F116 What stands in this file is no picture of the kind .png"),
        ("evil.jpg", b"<svg onload=alert(1)>", "F116"),
        ("empty.gif", b"", "F116"),
        ("short.webp", b"RIFF", "F116"),
        (
            "photo.png",
            JPG,
            "F116 The name says .png, and the file holds a picture of the kind .jpg; rename it. Example: pictures/photo.jpg",
        ),
        ("photo.webp", b"RIFF\x10\0\0\0WAVEfmt ", "F116"),
        ("photo.heic", JPG, "F114"),
    ],
)
def test_a_picture_is_what_its_name_says(shop, name, raw, says):
    (shop / "pictures" / name).write_bytes(raw)
    (line,) = said(shop)
    assert line.startswith(f"our-shop/pictures/{name}:1:1: ") and says in line, line


def test_sizes_are_told_before_anything_is_read(shop):
    with (shop / "pictures" / "large.png").open("wb") as file:
        file.write(PNG)
        file.truncate(plain_files.LARGEST_PICTURE + 1)
    with (shop / "terms.yml").open("wb") as file:
        file.truncate(1_000_000_000_000)  # on disk it is a hole
    first, second = sorted(said(shop))
    assert "pictures/large.png:1:1: F117 The picture has 20,000,001 bytes" in first
    assert "terms.yml:1:1: F102 The file has 1,000,000,000,000 bytes" in second


NAMES = [
    "con.md",
    "AUX.md",
    "nul.tar.md",
    "com1.md",
    "lpt9.md",
    "com¹.md",
    "conin$.md",
    "a:b.md",
    "what?.md",
    "a*.md",
    'a"b.md',
    "a<b.md",
    "a>b.md",
    "a|b.md",
    "a\\b.md",
    "a\nb.md",
    "a\x7fb.md",
    " a.md",
    "Cafe\u0301.md",
    "x" * 98 + ".md",
    "dir./a.md",
    "dir /a.md",
    "con/a.md",
]


@pytest.mark.parametrize("name", NAMES)
def test_a_name_that_some_system_cannot_hold_is_refused(shop, name):
    fault = plain_files.name_fault(f"pages/{name}")
    assert fault and plain_files.name_fault(fault[1]) is None and fault[1].endswith(".md"), fault
    path = shop / "pages" / name
    try:
        path.parent.mkdir(exist_ok=True)
        path.write_text("Notes.")
    except OSError:
        pytest.skip("this system cannot hold it either")
    (line,) = said(shop)
    assert "F118" in line


@pytest.mark.parametrize("name", ["pictures/a:b.png", "pictures/con.png", "pictures/a.png.", "pictures/a.png "])
def test_a_pictures_name_is_held_to_the_same(name):
    fault = plain_files.name_fault(name)
    assert fault and plain_files.name_fault(fault[1]) is None and fault[1].endswith(".png"), fault


@pytest.mark.parametrize(
    "name", ["our page.md", "Öl.md", "console.md", "com.md", "a.b.c.md", "a'b (2).md", "x" * 97 + ".md", "auxiliary.md", "лист.md"]
)
def test_a_name_that_every_system_holds_is_taken(shop, name):
    (shop / "pages" / name).write_text("Notes.")
    assert said(shop) == []


def test_two_names_that_differ_by_capital_letters_are_refused(shop):
    (shop / "pages" / "notes.md").write_text("Notes.")
    (shop / "pages" / "Notes.md").write_text("Notes.")
    if len(list((shop / "pages").iterdir())) == 1:
        pytest.skip("this system cannot hold both")
    (line,) = said(shop)
    assert "F118 Many systems hold this and 'pages/Notes.md' as one file" in line


def test_a_name_that_is_no_text_is_one_line(shop):
    try:
        Path(os.fsdecode(os.fsencode(shop / "pages") + b"/\xff\xfe.md")).write_text("Notes.")
    except OSError:
        pytest.skip("this system holds text alone")
    (line,) = said(shop)
    assert "F118" in line


# ---- take ----------------------------------------------------------------------------------------------------------


def saved(folder: Path, files: dict[str, str]) -> Path:
    data = {"format": shop_data.FORMAT, "files": files, "pages": [], "vehicles": []}
    path = folder / "shop-data.js"
    path.write_text(f"self.shopData = {json.dumps(data)};\n", "utf-8")
    return path


def test_what_is_taken_is_written_through_no_link(shop):
    source = saved(shop.parent, {"pages/first.md": "First.", "vehicles/red-van.yml": "id: red-van\n"})
    linked(shop / "vehicles", shop.parent / "elsewhere")
    with pytest.raises(ImportPagesError, match="vehicles: this is a link to somewhere else") as caught:
        import_pages(source, shop)
    assert "\n" not in str(caught.value)
    assert not any((shop.parent / "elsewhere").iterdir()) and not any((shop / "pages").iterdir())


def test_what_is_taken_is_written_through_no_link_that_leads_nowhere(shop):
    linked(shop / "pages" / "first.md", shop.parent / "not-there.md")
    with pytest.raises(ImportPagesError, match="pages/first.md: this is a link"):
        import_pages(saved(shop.parent, {"pages/first.md": "First."}), shop)
    assert not (shop.parent / "not-there.md").exists()


def test_a_name_that_windows_keeps_is_not_taken(shop):
    with pytest.raises(ImportPagesError, match="pages/con.md: Windows keeps this name"):
        import_pages(saved(shop.parent, {"pages/con.md": "First."}), shop)


def test_new_files_and_schemas_are_written_through_no_link(shop):
    elsewhere = shop.parent / "elsewhere"
    linked(shop / "cautions", elsewhere)
    linked(shop / ".schema", elsewhere)
    with pytest.raises(BuildFailed, match="our-shop/cautions is a link"):
        scaffold.new("caution", "hot-oil", shop)
    assert json_schema.write(shop) == [] and not any(elsewhere.iterdir())
