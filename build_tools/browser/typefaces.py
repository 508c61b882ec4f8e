"""The typefaces of the handbook, taken from the locked browser packages.

Atkinson Hyperlegible Next (SIL Open Font License 1.1, Braille Institute) in two
weights; the signs it lacks (≤ ≥ ≈ √ π) from Open Sans, same license.
docs/styles/base.css names the same files.
"""

from __future__ import annotations

from pathlib import Path

_FILES = {
    "atkinson-hyperlegible-next": (
        "latin-400-normal",
        "latin-600-normal",
        "latin-ext-400-normal",
        "latin-ext-600-normal",
    ),
    "open-sans": ("math-400-normal",),
}


def typefaces(node_modules: Path) -> dict[str, Path]:
    """Where each typeface goes in the site, and the file it is copied from.

    The license of each family travels with it, as the license asks.
    Raises FileNotFoundError, with what to run, where a file is missing.
    """
    copies: dict[str, Path] = {}
    for family, variants in _FILES.items():
        package = node_modules / "@fontsource" / family
        for variant in variants:
            name = f"{family}-{variant}.woff2"
            copies[f"assets/typefaces/{name}"] = package / "files" / name
        copies[f"assets/typefaces/{family}-licence.txt"] = package / "LICENSE"
    for source in copies.values():
        if not source.is_file():
            raise FileNotFoundError(
                f"The typeface file {source.name} is missing from {source.parent}: run «npm ci», "
                "or delete .venv and run «python3 -m build_tools build», which sets everything up."
            )
    return copies
