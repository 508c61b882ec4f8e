"""Copies passed on: one changed bit is found, a hostile zip or folder is refused, and what the shop added is no damage."""

from __future__ import annotations

import io
import json
import os
import random
import shutil
import socket
import struct
import subprocess
import sys
import zipfile
import zlib

import pytest

from build_tools import commands
from build_tools.exchange import shop_data, untrusted
from build_tools.exchange.checksums import LIST, ListError, name_problem, read, sha256, written
from build_tools.exchange.shop_data import NAME as SHOP_DATA
from build_tools.exchange.untrusted import CopyError, open_copy
from build_tools.exchange.verify import verify
from build_tools.exchange.zip_site import pack
from build_tools.paths import PROJECT
from build_tools.publishing.publish import publish

FLIPS = 1_000
INDEX = '<html><head><meta name="handbook:build" content="0123456789ab"></head><p>Read this first. ' + "All of it. " * 90
FILES = {
    "index.html": INDEX,
    "assets/handbook.js": "self.x = 1;\n" * 40,
    "drawings/mark.svg": "<svg/>",
    "empty.txt": "",
    "procedures/größe.html": "a name with letters of its own",
}


@pytest.fixture
def site(tmp_path):
    """A small site as a build publishes it."""
    fresh = tmp_path / "fresh"
    for name, text in FILES.items():
        (fresh / name).parent.mkdir(parents=True, exist_ok=True)
        (fresh / name).write_bytes(text.encode())
    publish(fresh, tmp_path / "site")
    return tmp_path / "site"


@pytest.fixture
def packed(site, tmp_path):
    return pack(site, tmp_path / "handbook.zip")[0]


def saved() -> bytes:
    """A `shop-data.js` as the page “Write a page” saves it."""
    page = {"file": "pages/rules.md", "kind": "page", "title": "Rules", "html": "<h1>Rules</h1>", "entries": []}
    data = {"format": shop_data.FORMAT, "build": "0123456789ab", "files": {"pages/rules.md": "# Rules\n"}, "pages": [page], "vehicles": []}
    whole = data | {"fingerprint": shop_data.fingerprint(data)}
    return f"// Of this shop.\nself.shopData = {json.dumps(whole, indent=1, ensure_ascii=False)};\n".encode()


def lines_of(path) -> list[str]:
    """What `verify` says against a copy, a line each."""
    try:
        return verify(path).problems()
    except CopyError as refusal:
        return refusal.problems


# ---------------------------------------------------------------- whole


def test_a_whole_copy_is_whole_as_folder_and_as_zip(site, packed):
    for copy in (site, packed):
        report = verify(copy)
        assert report.whole and report.own == [] and report.build == "0123456789ab"
        assert report.list_digest == sha256((site / LIST).read_bytes())


def test_any_other_tool_can_unpack_and_check_it(packed, tmp_path):
    assert zipfile.ZipFile(packed).testzip() is None
    zipfile.ZipFile(packed).extractall(tmp_path / "out")
    assert verify(tmp_path / "out").whole
    if shutil.which("sha256sum"):
        (tmp_path / "out" / SHOP_DATA).write_text("self.shopData = {};")  # a shop's own data is no false alarm there either
        subprocess.run(["sha256sum", "--check", "--strict", "--quiet", LIST], cwd=tmp_path / "out", check=True)


def test_the_same_site_gives_the_same_bytes_in_any_folder_on_any_day(site, packed, tmp_path):
    other = tmp_path / "elsewhere" / "copy"
    shutil.copytree(site, other, copy_function=shutil.copy)
    for path in other.rglob("*"):
        os.utime(path, (1_000_000_000, 1_000_000_000))
        if path.is_file():
            path.chmod(0o600)
    assert pack(other, tmp_path / "again.zip")[0].read_bytes() == packed.read_bytes()
    assert pack(packed, tmp_path / "of-a-zip.zip")[0].read_bytes() == packed.read_bytes()


def test_what_a_shop_added_is_its_own_and_no_damage(site, tmp_path, capsys):
    (site / SHOP_DATA).write_bytes(saved())
    (site / "jobs").mkdir()
    (site / "jobs" / "job-1.json").write_text("{}")
    report = verify(site)
    assert report.whole and report.own == ["jobs/job-1.json"] and report.shop_problem == ""
    assert report.shop.startswith(f"This shop's own pages, {SHOP_DATA}: 1 page, 0 vehicle sheets, as they were saved. Fingerprint ")
    assert commands.run(commands.parse(["pack", str(site), "--out", str(tmp_path / "own.zip")])) == 0
    said = capsys.readouterr().out
    assert "Left out, not made by a build: 'jobs/job-1.json'" in said and "Left out, this shop's own pages: 'shop-data.js'" in said
    assert sorted(zipfile.ZipFile(tmp_path / "own.zip").namelist()) == sorted([*FILES, LIST])


def test_a_newer_zip_unpacked_over_a_shops_copy_leaves_its_pages(site, packed):
    (site / SHOP_DATA).write_bytes(saved())
    zipfile.ZipFile(packed).extractall(site)
    assert (site / SHOP_DATA).read_bytes() == saved() and verify(site).whole


def test_a_flip_in_the_shops_own_pages_is_said_and_does_not_pass(site, capsys):
    draw = random.Random(20261130)
    content = saved()
    value = content.index(b"{") * 8, content.rindex(b"}") * 8
    for bit in draw.sample(range(*value), 200):
        (site / SHOP_DATA).write_bytes(flipped(content, bit))
        report = verify(site)
        assert report.whole and report.shop_problem.startswith(SHOP_DATA), bit
    assert commands.run(commands.parse(["verify", str(site)])) == 2
    said = capsys.readouterr()
    assert SHOP_DATA in said.err and "Fingerprint" not in said.out


@pytest.mark.parametrize(
    "text",
    [
        "alert(1);\nself.shopData = {};\n",
        "self.shopData = {};\nalert(1);\n",
        "// x\u2028alert(1)\nself.shopData = {};\n",
        "self.shopData = {files: {}, pages: [], vehicles: []};\n",
        "self.shopData = JSON.parse('{}');\n",
        "<meta http-equiv=refresh>",
    ],
)
def test_a_script_in_place_of_the_shops_pages_is_said(site, text):
    (site / SHOP_DATA).write_text(text, "utf-8")
    assert "It runs on every page" in verify(site).shop_problem


def test_the_empty_file_that_was_shipped_before_is_nothing_to_speak_of(site):
    (site / SHOP_DATA).write_text("// The shop's own pages and vehicle sheets are saved over this file.\nself.shopData = null;\n", "utf-8")
    report = verify(site)
    assert (report.whole, report.own, report.shop, report.shop_problem) == (True, [], "", "")


# ---------------------------------------------------------------- damage


def flipped(content: bytes, bit: int) -> bytes:
    changed = bytearray(content)
    changed[bit // 8] ^= 1 << bit % 8
    return bytes(changed)


def test_every_changed_bit_of_a_folder_is_found(site):
    """Of all files by their size, and the list as often as all the others together."""
    draw = random.Random(20261127)
    files = [site / name for name in (*FILES, LIST) if name != "empty.txt"]
    contents = {file: file.read_bytes() for file in files}
    weights = [len(contents[file]) if file.name != LIST else sum(map(len, contents.values())) for file in files]
    for file in draw.choices(files, weights, k=FLIPS):
        bit = draw.randrange(8 * len(contents[file]))
        file.write_bytes(flipped(contents[file], bit))
        assert lines_of(site), (file.name, bit)
        file.write_bytes(contents[file])
    assert lines_of(site) == []


def test_every_changed_bit_of_a_zip_is_found(packed):
    draw = random.Random(20261128)
    content = packed.read_bytes()
    for bit in draw.sample(range(8 * len(content)), FLIPS):
        packed.write_bytes(flipped(content, bit))
        assert lines_of(packed), bit
    packed.write_bytes(content)
    assert lines_of(packed) == []


def test_a_zip_cut_off_anywhere_is_refused(packed):
    content = packed.read_bytes()
    for size in {0, 1, 21, 22, 93, len(content) // 2, len(content) - 1}:
        packed.write_bytes(content[:size])
        assert len(lines_of(packed)) == 1


def test_damage_is_said_by_file(site, capsys):
    (site / "index.html").write_text(INDEX + "!")
    (site / "drawings" / "mark.svg").unlink()
    assert lines_of(site) == ["Changed: 'index.html'", "Missing: 'drawings/mark.svg'"]
    assert commands.run(commands.parse(["verify", str(site)])) == 2
    assert "copy it again" in capsys.readouterr().err
    assert commands.run(commands.parse(["pack", str(site), "--out", str(site.parent / "x.zip")])) == 2
    assert not (site.parent / "x.zip").exists()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda text: text.replace("index.html", "../index.html"), "leads out of the copy"),
        (lambda text: text.replace("index.html", "/index.html"), "is an absolute path"),
        (lambda text: text.replace("index.html", "C:index.html"), "starts with a drive letter"),
        (lambda text: text.replace("index.html", "a\\index.html"), "holds a backslash"),
        (lambda text: text.replace("  ", " *"), "not «64 hex digits"),
        (lambda text: text.upper(), "not «64 hex digits"),
        (lambda text: text[:-1], "not in order"),
        (lambda text: text + text.splitlines(True)[0], "not in order"),
        (lambda text: "", "not in order"),
        (lambda text: text.replace("\n", "\r\n"), "holds a control character"),
    ],
)
def test_a_list_of_another_form_is_refused(site, change, said):
    with pytest.raises(ListError, match=said) as refusal:
        read(change((site / LIST).read_text("utf-8")).encode())
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize(
    "name",
    [
        "a/../../b",
        "..",
        "/etc/passwd",
        "C:/x",
        "c:x",
        "a\\b",
        "",
        ".",
        "a//b",
        "a/",
        "a\0b",
        "a\nb",
        "con",
        "x/NUL.txt",
        "com1",
        "a. /b",
        "a:stream",
        "n" * 300,
        "a\u2028b",
    ],
)
def test_names_that_are_not_safe_everywhere(name):
    assert name_problem(name)


def test_names_that_differ_only_by_case_or_composition_are_refused():
    for pair in (("a.txt", "A.txt"), ("straße", "STRASSE"), ("gr\u00f6\u00dfe", "gro\u0308\u00dfe")):
        with pytest.raises(ListError, match="differ only by case"):
            read(written(dict.fromkeys(pair, "0" * 64)).encode())
    with pytest.raises(ListError, match="is a file and a folder"):
        read(written({"a": "0" * 64, "a/b": "0" * 64}).encode())


# ---------------------------------------------------------------- hostile folders


@pytest.mark.skipif(sys.platform == "win32", reason="links and pipes as Unix has them")
def test_links_and_devices_in_a_folder_are_refused_and_not_opened(site, tmp_path):
    secret = tmp_path / "secret"
    secret.write_text("mine")
    (site / "link.html").symlink_to(secret)
    (site / "loop").symlink_to(site)
    os.mkfifo(site / "pipe")
    with socket.socket(socket.AF_UNIX) as plug:
        here = os.getcwd()
        os.chdir(site)  # the name of a socket is short
        try:
            plug.bind("plug")
        finally:
            os.chdir(here)
        assert [line.split(": ")[1] for line in lines_of(site)] == [
            "'link.html' is a link.",
            "'loop' is a link.",
            "'pipe' is a device, a pipe or a socket.",
            "'plug' is a device, a pipe or a socket.",
        ]
    (tmp_path / "link").symlink_to(site)
    assert "is a link" in lines_of(tmp_path / "link")[0]


def test_a_listed_file_that_is_far_too_large_is_not_read(site):
    with (site / "index.html").open("r+b") as file:
        file.truncate(10**12)  # a hole in the file: it takes no room
    assert "has 1,000,000,000,000 bytes; the most is" in lines_of(site)[0]


def test_too_many_files_are_refused(site, monkeypatch):
    monkeypatch.setattr(untrusted, "MOST_FILES", 5)
    assert lines_of(site) == [f"{site}: it holds more than 5 files."]


def test_a_path_that_is_no_copy(tmp_path):
    (tmp_path / "letter.txt").write_text("dear")
    assert "not a zip that «pack» wrote" in lines_of(tmp_path / "letter.txt")[0]
    assert "no SHA256SUMS in it" in lines_of(tmp_path)[0]
    assert "neither a folder nor a zip" in lines_of(tmp_path / "nowhere")[0]


# ---------------------------------------------------------------- hostile zips


class Member(zipfile.ZipInfo):
    """A member as `pack` lays it out, but for what a case changes."""

    def __init__(self, name: str, content: bytes = b"x", **lies):
        super().__init__(name, untrusted.PACKED_DATE)
        self.orig_filename = name
        self.raw = lies.pop("raw", None) or zlib.compress(content, 9, wbits=-15)
        self.CRC, self.compress_size, self.file_size = zlib.crc32(content), len(self.raw), len(content)
        self.external_attr = untrusted.PACKED_MODE << 16
        for field, value in lies.items():
            setattr(self, field, value)


def zip_of(*members: Member) -> bytes:
    """A zip in the form of `pack`, its checksum in order: whoever makes a hostile zip can do that too."""
    out, central = io.BytesIO(), b""
    for member in members:
        member.header_offset = out.tell()
        out.write(changed(untrusted.local_header(member), 6, member.flag_bits) + member.raw)
        header = changed(untrusted.central_header(member), 8, member.flag_bits)
        central += header[:38] + struct.pack("<L", member.external_attr) + header[42:]
    at = out.tell()
    digest = sha256(out.getvalue() + central).encode()
    return (
        out.getvalue()
        + central
        + struct.pack("<4s4H2LH", b"PK\5\6", 0, 0, len(members), len(members), len(central), at, 71)
        + untrusted.COMMENT
        + digest
    )


def changed(header: bytes, at: int, flags: int) -> bytes:
    return header if not flags else header[:at] + struct.pack("<H", flags) + header[at + 2 :]


GOOD = Member(LIST, b"")
HOSTILE = {
    "leads out": ([Member("a/../../x")], "leads out of the copy"),
    "absolute": ([Member("/etc/cron.d/x")], "is an absolute path"),
    "drive letter": ([Member("C:/x")], "starts with a drive letter"),
    "backslash": ([Member("a\\x")], "holds a backslash"),
    "Windows device": ([Member("assets/aux.js")], "is a device on Windows"),
    "link": ([Member("a", b"/etc/passwd", external_attr=0o120777 << 16)], "is a link"),
    "device": ([Member("a", external_attr=0o020644 << 16)], "is a device, a pipe or a folder"),
    "pipe": ([Member("a", external_attr=0o010644 << 16)], "is a device, a pipe or a folder"),
    "encrypted": ([Member("a", flag_bits=1)], "is encrypted"),
    "strongly encrypted": ([Member("a", flag_bits=0x41)], "is encrypted"),
    "twice": ([Member("a"), Member("a", b"y")], "are there twice"),
    "by case": ([Member("a"), Member("A", b"y")], "differ only by case"),
    "file and folder": ([Member("a"), Member("a/b")], "is a file and a folder"),
    "ratio": ([Member("a", bytes(9_000_000))], "would grow more than 200 times"),
    "size": ([Member("a", file_size=400_000_000)], "would have 400,000,000 bytes"),
    "sum": (
        [Member(f"a{number}", compress_size=5_000_000, file_size=90_000_000) for number in range(6)],
        "unpacked it would have more than 500,000,000 bytes",
    ),
    "names another size": ([Member(LIST, b"abc", file_size=2)], "is not as long as the zip says"),
    "names too large a size": ([Member(LIST, b"abc", file_size=4)], "is not as long as the zip says"),
    "bytes behind the stream": (
        [Member(LIST, b"abc", raw=zlib.compress(b"abc", 9, wbits=-15) + b"hidden")],
        "is not as long as the zip says",
    ),
    "no stream": ([Member(LIST, b"abc", raw=b"\xff\xff\xff")], "cannot be unpacked"),
    "another method": ([Member("a", flag_bits=8)], "is not laid out as «pack» does it"),
}


@pytest.mark.parametrize(("members", "said"), HOSTILE.values(), ids=HOSTILE.keys())
def test_a_hostile_zip_is_refused_with_a_line(tmp_path, members, said):
    path = tmp_path / "hostile.zip"
    path.write_bytes(zip_of(*members))
    lines = lines_of(path)
    assert len(lines) == 1 and said in lines[0] and "\n" not in lines[0] and len(lines[0]) < 500
    assert [file.name for file in tmp_path.iterdir()] == ["hostile.zip"]


def test_the_harness_makes_zips_that_are_taken(site, tmp_path):
    path = tmp_path / "made.zip"
    path.write_bytes(zip_of(*(Member(name, (site / name).read_bytes()) for name in sorted((*FILES, LIST)))))
    assert verify(path).whole


def test_too_many_members_are_refused_before_the_table_is_read(tmp_path, monkeypatch):
    path = tmp_path / "many.zip"
    path.write_bytes(zip_of(*(Member(f"a{number}") for number in range(9))))
    monkeypatch.setattr(untrusted, "MOST_FILES", 8)
    monkeypatch.setattr(untrusted.zipfile, "ZipFile", lambda path: pytest.fail("the table was read"))
    assert lines_of(path) == [f"{path}: it holds 9 files; the most is 8."]


def test_members_that_share_bytes_or_leave_room_are_refused(tmp_path):
    content = zip_of(Member("a", b"one"), Member("b", b"two"))
    at = content.index(b"PK\1\2", content.index(b"PK\1\2") + 1)
    shared = content[: at + 42] + struct.pack("<L", 0) + content[at + 46 :]  # b's header where a's is
    (tmp_path / "shared.zip").write_bytes(shared)
    (tmp_path / "before.zip").write_bytes(b"MZ" + content)  # a program with a zip behind it
    for name in ("shared.zip", "before.zip"):
        assert len(lines_of(tmp_path / name)) == 1


def test_a_zip_of_another_program_is_refused_with_what_to_do(site, tmp_path):
    shutil.make_archive(str(tmp_path / "other"), "zip", site)
    assert lines_of(tmp_path / "other.zip") == [
        f"{tmp_path / 'other.zip'}: not a zip that «pack» wrote, or damaged at its end. Unpack it, and verify the folder."
    ]


def test_pack_writes_over_nothing_but_an_earlier_pack(site, packed, tmp_path):
    letter = tmp_path / "letter.zip"
    letter.write_text("dear")
    with pytest.raises(CopyError):
        pack(site, letter)
    assert letter.read_text() == "dear"
    assert pack(site, packed)[0] == packed
    assert sorted(path.name for path in tmp_path.iterdir()) == ["fresh", "handbook.zip", "letter.zip", "site"]


def test_reading_a_zip_holds_no_more_than_a_piece_at_a_time(tmp_path):
    path = tmp_path / "large.zip"
    path.write_bytes(zip_of(Member("a", random.Random(1).randbytes(3_000_000))))
    assert max(map(len, open_copy(path).chunks("a"))) <= untrusted.CHUNK


def test_it_runs_by_itself_without_set_up(site):
    """`verify` on a machine with nothing but Python: no site packages, no environment."""
    done = subprocess.run(
        [
            sys.executable,
            "-I",
            "-S",
            "-c",
            f"import sys; sys.path.insert(0, {str(PROJECT)!r}); "
            f"from build_tools import commands; sys.exit(commands.run(commands.parse(['verify', {str(site)!r}])))",
        ],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("Whole: 5 files")
