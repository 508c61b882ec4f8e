"""Where a figure or a rule comes from, as data. Kinds: published, common practice, memory."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, replace
from functools import cache
from pkgutil import get_data

KINDS = ("published", "common practice", "memory")


@dataclass(frozen=True)
class Source:
    """A document, or the want of one. `place` is the page or paragraph, set by `at`."""

    id: str
    title: str
    edition: str = ""
    kind: str = "published"
    place: str = ""

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f"source {self.id}: kind {self.kind!r} is not one of {', '.join(KINDS)}")

    def at(self, place: str) -> Source:
        """The same source at a page or paragraph."""
        return replace(self, place=place)

    def describe(self) -> dict[str, str]:
        """The source as JSON."""
        return asdict(self)

    def __str__(self) -> str:
        parts = [f"{self.title} ({self.edition})" if self.edition else self.title, self.place]
        text = ", ".join(part for part in parts if part)
        return text if self.kind == "published" else f"{text} [{self.kind}]"


@cache
def _list() -> dict[str, dict[str, str]]:
    text = get_data("calculators.contract", "sources.json")
    return json.loads(text) if text else {}


def listed(name: str) -> Source:
    """A source of the handbook's own list, site_data/sources.yml, which `python3 -m build_tools rules` packs beside this module.

    Raises KeyError for a name that is not in it.
    """
    return Source(name, **_list()[name])


TM_9_2320_289_34 = listed("us-tm-9-2320-289-34")
TM_9_2320_289_20 = listed("us-tm-9-2320-289-20")
RP_618A = listed("rp-618a")
TM_9_254 = listed("us-tm-9-254")
TM_5_3820_256 = listed("us-tm-5-3820-256-24-3")
TM_5_2330_378 = listed("us-tm-5-2330-378-14p")
ISO_14253_1 = listed("iso-14253-1")
JCGM_106 = listed("jcgm-106")
JCGM_100 = listed("jcgm-100")
ISO_6789_1 = listed("iso-6789-1")
ISO_3779 = listed("iso-3779")
CFR_565 = listed("us-49-cfr-565")
ASME_B1_1 = listed("asme-b1-1")
NIST_SP_811 = listed("nist-sp-811")
TRIBOLOGY_HANDBOOK = listed("tribology-handbook")
BEARING_MAKER_GREASE = listed("bearing-maker-grease")
FMVSS_116 = listed("us-49-cfr-571-116")
FMVSS_135 = listed("us-49-cfr-571-135")
CFR_570 = listed("us-49-cfr-570")
ASTM_D341 = listed("astm-d341")
HAGEN_POISEUILLE = listed("hagen-poiseuille")
BOYLE = listed("boyle")
ISO_898_1 = listed("iso-898-1")
SAE_J429 = listed("sae-j429")
LEVER = listed("lever")
TORQUE_TENSION = listed("torque-tension")
HEAT_BALANCE = listed("heat-balance")
FOURIER = listed("fourier")
KINEMATICS = listed("kinematics")
PASCAL = listed("pascal")
CFR_393_47 = listed("us-49-cfr-393-47")
TRADE_PAD_WEAR = listed("trade-pad-wear-guide")
GEOMETRY = listed("geometry")
COMMON_PRACTICE = listed("common-practice")
FROM_MEMORY = listed("from-memory")
