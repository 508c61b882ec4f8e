"""Writes every drawing into docs/drawings: python -m build_tools.drawings"""

from __future__ import annotations

from pathlib import Path

from . import ALL

FOLDER = Path(__file__).resolve().parents[2] / "docs" / "drawings"

if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for name, draw in ALL.items():
        (FOLDER / f"{name}.svg").write_text(draw().svg(), encoding="utf-8", newline="\n")
    print(f"{len(ALL)} drawings in {FOLDER.name}/")
