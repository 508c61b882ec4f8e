"""Where the project lies. Standard library only."""

from __future__ import annotations

from pathlib import Path

PROJECT = Path(__file__).resolve().parent.parent
SCRATCH = PROJECT / ".build"  # what a build makes and may lose
