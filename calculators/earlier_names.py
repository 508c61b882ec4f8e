"""The names by which version 0.1.0 knew the modules of this package: a shop's own calculators import them.

Each leads to the module of today, which is imported when it is asked for.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib import import_module
from importlib.machinery import ModuleSpec
from types import ModuleType

EARLIER = {
    "bands": "contract.bands",
    "brake_fluids": "shared.brake_fluids",
    "cross": "contract.cross_checks",
    "declaration": "contract.declaration",
    "entries": "contract.entries",
    "errors": "contract.errors",
    "figure": "contract.figure",
    "guard": "contract.guard",
    "harmonics": "shared.harmonics",
    "inputs": "contract.inputs",
    "judge": "contract.judge",
    "lock_ladder": "shared.lock_ladder",
    "locks": "shared.locks",
    "numerals": "contract.numerals",
    "printing": "contract.printing",
    "result": "contract.result",
    "rotor_section": "shared.rotor_section",
    "sources": "contract.sources",
    "units": "contract.units",
    "wear": "shared.wear",
}


class _Names:
    """Finder and loader in one: what it loads is the module of today under both names."""

    def find_spec(self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None) -> ModuleSpec | None:
        package, _, module = name.partition(".")
        if package != "calculators" or module not in EARLIER:
            return None
        return ModuleSpec(name, self)  # type: ignore[arg-type]  # a loader by its methods, without an import of importlib.abc

    def create_module(self, spec: ModuleSpec) -> ModuleType:
        self._own = (module := import_module(f"calculators.{EARLIER[spec.name.partition('.')[2]]}")).__spec__
        return module

    def exec_module(self, module: ModuleType) -> None:
        module.__spec__ = self._own  # the import put that of the earlier name there


def find() -> None:
    """Let the earlier names be found."""
    if not any(isinstance(finder, _Names) for finder in sys.meta_path):
        sys.meta_path.append(_Names())
