"""Start a shop's folder, or one more file in it: each file already builds, and says how to go on. Nothing is written over.

The beginnings lie in build_tools/content/shop/new_shop/; words in capitals there are filled in.
"""

from __future__ import annotations

import datetime
import os
import re
import unicodedata
from pathlib import Path

from build_tools.content import json_schema
from build_tools.content.load import load
from build_tools.content.model import Step
from build_tools.content.problems import alike
from build_tools.content.shop.plain_files import linked_part
from build_tools.errors import BuildFailed
from build_tools.paths import PROJECT

BEGINNINGS = Path(__file__).with_name("new_shop")
FOLDERS = ("procedures", "vehicles", "cautions", "pages", "pictures", "calculators")
# kind → where the file goes
KINDS = {
    "procedure": "procedures/{}.yml",
    "vehicle": "vehicles/{}.yml",
    "caution": "cautions/{}.yml",
    "page": "pages/{}.md",
    "calculator": "calculators/{}.py",
    "change": "changes/{}.yml",
}
PICTURE = "![An example picture](../pictures/example-picture.png)\n"


def new_shop(folder: Path, start: tuple[str, ...] = ()) -> list[Path]:
    """Make a shop's folder that builds; `start` names the systems (windows, posix) to make start files for.

    Returns what was written. BuildFailed where the folder holds anything already.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise BuildFailed([f"{folder} is there already, and nothing is written over. Give a new folder, for example: new-shop our-shop"])
    for name in FOLDERS:
        (folder / name).mkdir(parents=True, exist_ok=True)
    words = {"TITLE": _title(folder.resolve().name)}
    written = [_write(folder / name, _filled((BEGINNINGS / name).read_text("utf-8"), words)) for name in ("shop.yml", "READ-ME.txt")]
    written += [new(kind, f"example-{kind}", folder) for kind in KINDS if kind != "change"]
    (folder / "pages" / "example-page.md").write_text(
        (folder / "pages" / "example-page.md").read_text("utf-8") + f"\n{PICTURE}", "utf-8", newline="\n"
    )
    picture = folder / "pictures" / "example-picture.png"
    picture.write_bytes((BEGINNINGS / "picture.png").read_bytes())
    json_schema.write(folder)
    return [*written, picture, *start_files(folder, start)]


def new(kind: str, name: str, shop: Path) -> Path:
    """One more file in a shop's folder. `name` is the file's name or its title; for a change, the handbook's step.

    Returns the file. BuildFailed where the name will not do, or the file is there already.
    """
    words = {"TODAY": datetime.date.today().isoformat()}
    if kind == "change":
        words |= _of_step(name)
        name = words["NAME"]
    title, name = _title(name), _file_name(name)
    if not name:
        raise BuildFailed(["Give the name in plain letters, for example: check-trailer-plug"])
    if kind == "calculator":
        name = name.replace("-", "_")
    path = shop / KINDS[kind].format(name)
    if linked := linked_part(shop, path.relative_to(shop).as_posix()):
        raise BuildFailed(
            [f"{shop.name}/{linked} is a link to somewhere else, and nothing is written through it. Put a folder of its own there."]
        )
    if path.exists():
        raise BuildFailed(
            [f"{shop.name}/{path.relative_to(shop).as_posix()} is there already, and nothing is written over. Choose another name."]
        )
    beginning = BEGINNINGS / (kind + path.suffix)
    return _write(path, _filled(beginning.read_text("utf-8"), {"TITLE": title, "NAME": name, "MODULE": name} | words))


def _filled(text: str, words: dict[str, str]) -> str:
    return re.sub(r"\b(TITLE|NAME|MODULE|TODAY|ADDRESS|HASH|STOCK)\b", lambda found: words[found[0]], text)


def _file_name(text: str) -> str:
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return "-".join(re.findall(r"[a-z0-9]+", plain.lower()))


def _title(text: str) -> str:
    """A title from what was typed; never with a colon or a quote, which YAML would read as its own."""
    plain = " ".join(re.findall(r"[^\W_]+", text))
    return plain[:1].upper() + plain[1:]


def _of_step(address: str) -> dict[str, str]:
    """What a change says of the handbook's step that it is about. BuildFailed where there is no such step."""
    steps = {f"{p.id}/{s.id}": s for p in load(PROJECT / "site_data").procedures.values() for s in p.steps if isinstance(s, Step)}
    if address not in steps:
        near = alike(address, steps)
        raise BuildFailed([f"No step is called '{address}'." + (f" Did you mean '{near}'?" if near else "")])
    step = steps[address]
    return {"ADDRESS": address, "HASH": step.hash, "STOCK": step.do, "NAME": step.id}


def _write(path: Path, text: str, newline: str = "\n") -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("x", encoding="utf-8", newline=newline) as file:
        file.write(text)
    return path


# ---- start files ------------------------------------------------------------------------------------------------

_DOES = {"check": "check --shop {shop}", "build": "build --shop {shop} --out {out}", "preview": "serve --shop {shop}"}
_WINDOWS = """\
@echo off
rem Double-click to {does} this shop's pages. The next line says where the handbook is: change it after moving either.
set "HANDBOOK={handbook}"
chcp 65001 >nul
set "PYTHONUTF8=1"
set "PYTHON=python"
where py >nul 2>nul && set "PYTHON=py -3"
pushd "%HANDBOOK%" || goto lost
%PYTHON% -m build_tools {command}
popd
pause
exit /b
:lost
echo There is no handbook in "%HANDBOOK%". Change the third line of this file.
pause
exit /b 2
"""
_POSIX = """\
#!/bin/sh
# Run to {does} this shop's pages. The next line says where the handbook is: change it after moving either.
HANDBOOK={handbook}
SHOP=$(cd "$(dirname "$0")" && pwd) || exit 2
cd "$SHOP" && cd "$HANDBOOK" || {{ echo "There is no handbook in $HANDBOOK. Change the third line of this file."; exit 2; }}
exec python3 -m build_tools {command}
"""


def start_files(folder: Path, systems: tuple[str, ...]) -> list[Path]:
    """check, build and preview by double click. The handbook is named by the way from here, so that a stick may change its letter."""
    try:
        way = os.path.relpath(PROJECT, folder.resolve())
    except ValueError:  # another drive
        way = str(PROJECT)
    written = []
    for does, command in _DOES.items():
        if "windows" in systems:
            here = way if ":" in way else "%~dp0" + way.replace("/", "\\").replace("%", "%%")
            line = command.format(shop='"%~dp0."', out=f'"%~dp0..\\{folder.resolve().name}-handbook"')
            written.append(_write(folder / f"{does}.bat", _WINDOWS.format(does=does, handbook=here, command=line), "\r\n"))
        if "posix" in systems:
            line = command.format(shop='"$SHOP"', out='"$SHOP-handbook"')
            written.append(_write(folder / f"{does}.sh", _POSIX.format(does=does, handbook=_quoted(Path(way).as_posix()), command=line)))
            written[-1].chmod(0o755)
    return written


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "'\\''") + "'"
