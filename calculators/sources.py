"""Where a figure or a rule comes from, as data. Kinds: published, common practice, memory."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace

KINDS = ("published", "common practice", "memory")


@dataclass(frozen=True)
class Source:
    """A document, or the want of one. `place` is the page or paragraph, set by `at`."""

    id: str
    title: str
    edition: str = ""
    kind: str = "published"
    place: str = ""

    def __post_init__(self):
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


TM_9_2320_289_34 = Source("tm-9-2320-289-34", "TM 9-2320-289-34, light trucks, direct and general support", "US Army")
TM_9_2320_289_20 = Source("tm-9-2320-289-20", "TM 9-2320-289-20, light trucks, unit maintenance", "US Army")
RP_618A = Source("rp-618a", "RP 618A, wheel bearing adjustment, as reproduced by a bearing maker", "TMC")
ISO_14253_1 = Source("iso-14253-1", "ISO 14253-1, decision rules for conformity with specifications")
JCGM_106 = Source("jcgm-106", "JCGM 106, measurement uncertainty in conformity assessment", "2012")
ASME_B1_1 = Source("asme-b1.1", "ASME B1.1, unified inch screw threads", "2019")
NIST_SP_811 = Source("nist-sp-811", "NIST SP 811, Guide for the Use of the SI, Appendix B", "2008")
TRIBOLOGY_HANDBOOK = Source("tribology-handbook", "The Tribology Handbook, grease quantities")
BEARING_MAKER_GREASE = Source("bearing-maker-grease", "A bearing maker's page on first fill and relubrication with grease")
FMVSS_116 = Source("us-49-cfr-571-116", "49 CFR 571.116, Standard No. 116, motor vehicle brake fluids")
FMVSS_135 = Source("us-49-cfr-571-135", "49 CFR 571.135, Standard No. 135, light vehicle brake systems")
CFR_570 = Source("us-49-cfr-570", "49 CFR 570, vehicle in use inspection standards")
ASTM_D341 = Source("astm-d341", "ASTM D341, viscosity-temperature equations and charts")
HAGEN_POISEUILLE = Source("hagen-poiseuille", "Textbook hydraulics: laminar flow in a round pipe (Hagen and Poiseuille)")
BOYLE = Source("boyle", "Textbook physics: Boyle's law")
KINEMATICS = Source("kinematics", "Textbook physics: constant deceleration")
PASCAL = Source("pascal", "Textbook hydraulics: force = pressure × area")
GEOMETRY = Source("geometry", "Geometry: the volume of a cylinder, the lead of a thread", kind="published")
COMMON_PRACTICE = Source("common-practice", "Common practice in brake shops, no source", kind="common practice")
FROM_MEMORY = Source("memory", "From memory, not checked against a document", kind="memory")
