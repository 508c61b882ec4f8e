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


TM_9_2320_289_34 = Source("tm-9-2320-289-34", "TM 9-2320-289-34, light trucks, direct and general support", "US Army")
TM_9_2320_289_20 = Source("tm-9-2320-289-20", "TM 9-2320-289-20, light trucks, unit maintenance", "US Army")
RP_618A = Source("rp-618a", "RP 618A, wheel bearing adjustment, as reproduced by a bearing maker", "TMC")
TM_9_254 = Source("tm-9-254", "TM 9-254, general maintenance procedures: torque wrench with an angled extension", "US Army")
TM_5_3820_256 = Source("tm-5-3820-256-24-3", "TM 5-3820-256-24-3, tightening order of wheel nuts", "US Army")
TM_5_2330_378 = Source("tm-5-2330-378-14p", "TM 5-2330-378-14&P, second torque of wheel nuts after 50 to 100 miles", "US Army")
ISO_14253_1 = Source("iso-14253-1", "ISO 14253-1, decision rules for conformity with specifications")
JCGM_106 = Source("jcgm-106", "JCGM 106, measurement uncertainty in conformity assessment", "2012")
JCGM_100 = Source("jcgm-100", "JCGM 100, Guide to the expression of uncertainty in measurement (GUM)", "2008")
ISO_6789_1 = Source("iso-6789-1", "ISO 6789-1, hand torque tools: permissible deviations, as quoted in wrench makers' manuals", "2017")
ISO_3779 = Source("iso-3779", "ISO 3779, vehicle identification number: content and structure", kind="memory")
CFR_565 = Source("us-49-cfr-565", "49 CFR 565, vehicle identification number requirements")
ASME_B1_1 = Source("asme-b1.1", "ASME B1.1, unified inch screw threads", "2019")
NIST_SP_811 = Source("nist-sp-811", "NIST SP 811, Guide for the Use of the SI, Appendix B", "2008")
TRIBOLOGY_HANDBOOK = Source("tribology-handbook", "The Tribology Handbook, grease quantities")
BEARING_MAKER_GREASE = Source("bearing-maker-grease", "A bearing maker's page on first fill and relubrication with grease")
FMVSS_116 = Source("us-49-cfr-571-116", "49 CFR 571.116, Standard No. 116, motor vehicle brake fluids")
FMVSS_135 = Source("us-49-cfr-571-135", "49 CFR 571.135, Standard No. 135, light vehicle brake systems")
CFR_570 = Source("us-49-cfr-570", "49 CFR 570 subpart B, vehicles in use over 10,000 lb")
ASTM_D341 = Source("astm-d341", "ASTM D341, viscosity-temperature equations and charts")
HAGEN_POISEUILLE = Source("hagen-poiseuille", "Textbook hydraulics: laminar flow in a round pipe (Hagen and Poiseuille)")
BOYLE = Source("boyle", "Textbook physics: Boyle's law")
ISO_898_1 = Source("iso-898-1", "ISO 898-1, mechanical properties of fasteners: proof stresses")
SAE_J429 = Source("sae-j429", "SAE J429, proof stresses of inch bolts, as reprinted by bolt makers")
LEVER = Source("lever", "Textbook mechanics: the same pull on a longer lever gives more torque")
TORQUE_TENSION = Source("torque-tension", "Textbook machine elements: torque = nut factor × diameter × clamp force")
HEAT_BALANCE = Source("heat-balance", "Textbook physics: energy of motion into heat, and cooling by Newton's law")
FOURIER = Source("fourier", "Textbook mathematics: Fourier analysis and trigonometric interpolation of equally spaced readings")
KINEMATICS = Source("kinematics", "Textbook physics: constant deceleration")
PASCAL = Source("pascal", "Textbook hydraulics: force = pressure × area")
CFR_393_47 = Source("us-49-cfr-393-47", "49 CFR 393.47, brake linings of commercial vehicles, as quoted in secondary pages")
TRADE_PAD_WEAR = Source("trade-pad-wear-guide", "Brake pad wear guide of a trade magazine")
GEOMETRY = Source("geometry", "Geometry: the volume of a cylinder, the lead of a thread", kind="published")
COMMON_PRACTICE = Source("common-practice", "Common practice in brake shops, no source", kind="common practice")
FROM_MEMORY = Source("memory", "From memory, not checked against a document", kind="memory")
