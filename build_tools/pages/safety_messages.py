"""What a shop's saved page needs of the build that shows it: the safety messages as they read now, and where they stand.

A page in `shop-data.js` holds the HTML of the day it was saved. `assets/safety.js`, loaded by `own/page.html` alone, lets
docs/scripts/shop/own-safety.js put today's messages in it and name what is new, changed or gone.
"""

from __future__ import annotations

import json
from typing import Any

from build_tools.content.handbook import Handbook
from build_tools.content.model import Use
from build_tools.pages.render import Pages

PLACE = "assets/safety.js"


def as_script(handbook: Handbook, build: str) -> str:
    """The classic script that sets `self.handbookSafety`."""
    return "self.handbookSafety=" + json.dumps({"build": build, **_data(handbook)}, ensure_ascii=False, separators=(",", ":")) + ";\n"


def _data(handbook: Handbook) -> dict[str, Any]:
    """`messages`: id → name and HTML; `procedures`: id → its messages, and of each step its hash and messages."""
    draw = Pages(handbook).env.from_string('{% import "parts.j2" as parts with context %}{{ parts.caution(item) }}')
    return {
        "messages": {c.id: [f"{c.signal.upper()}: {c.hazard}", draw.render(item=c).strip()] for c in handbook.cautions.values()},
        "procedures": {
            p.id: {"cautions": p.cautions, "steps": {s.id: [s.hash, *s.cautions] for s in p.steps if not isinstance(s, Use)}}
            for p in handbook.procedures.values()
        },
    }
