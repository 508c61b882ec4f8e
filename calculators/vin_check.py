"""Whether a vehicle identification number was read and typed without a slip. Nothing is looked up from it."""

from __future__ import annotations

import re
from typing import Annotated

from calculators.contract.declaration import Example, calculator
from calculators.contract.entries import EntryTextError
from calculators.contract.errors import AmbiguousEntry, Candidate
from calculators.contract.inputs import Input
from calculators.contract.judge import BEYOND, CANNOT_TELL, WITHIN, Judgement
from calculators.contract.result import PLAIN, Answer, Value
from calculators.contract.sources import CFR_565, ISO_3779

LENGTH, CHECK_PLACE = 17, 8
LETTERS = {
    letter: value for row in ("ABCDEFGH", "JKLMN P R", " STUVWXYZ") for value, letter in enumerate(row, 1) if letter != " "
}  # Table III
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)  # Table IV
MEANT = {"I": "1", "O": "0", "Q": "0"}
NORTH_AMERICA, ELSEWHERE = "USA or Canada", "elsewhere"


def read_vin(text: str) -> str:
    """A VIN in capitals without spaces and hyphens. Raises EntryTextError; AmbiguousEntry where I, O or Q stands for 1 or 0."""
    vin = re.sub(r"[\s\-]", "", text)
    strange = [f"“{sign}” at position {place}" for place, sign in enumerate(vin[: LENGTH + 1], 1) if not re.fullmatch("[0-9A-Za-z]", sign)]
    if strange:
        raise EntryTextError(f"a VIN has only digits and capital letters, and there is {', '.join(strange)}")
    vin = vin.upper()
    if len(vin) != LENGTH:
        raise EntryTextError(
            f"it has {len(vin)} characters; a VIN has {LENGTH} (vehicles before 1981 have other numbers: write those into a note)"
        )
    wrong = [f"{sign} at position {place}" for place, sign in enumerate(vin, 1) if sign in MEANT]
    if wrong:
        meant = "".join(MEANT.get(sign, sign) for sign in vin)
        raise AmbiguousEntry(
            f"a VIN has no I, O or Q, and there is {', '.join(wrong)}; look again", [Candidate(meant, meant)], input="vin", typed=text
        )
    return vin


def weighted_sum(vin: str) -> int:
    """The sum of values times weights of a VIN as `read_vin` gives it (49 CFR 565.15(c))."""
    return sum(weight * (LETTERS.get(sign) or int(sign)) for weight, sign in zip(WEIGHTS, vin, strict=True) if weight)


@calculator(
    title="Vehicle identification number",
    purpose="See whether a VIN was read and typed without a slip, by its check digit. Nothing is looked up from it.",
    source=[CFR_565.at("565.15(c), Tables III to V"), ISO_3779],
    values=[
        Value("check_digit", "", "Check digit as computed", PLAIN),
        Value("position_9", "", "What stands at position 9", PLAIN),
        Value("total", "", "Sum of values times weights", PLAIN),
        Value("remainder", "", "Remainder of the division by 11", PLAIN),
    ],
    formula=[
        "values: 0 to 9 as they are; A J 1, B K S 2, C L T 3, D M U 4, E N V 5, F W 6, G P X 7, H Y 8, R Z 9",
        "weights from position 1: 8 7 6 5 4 3 2 10 0 9 8 7 6 5 4 3 2",
        "sum of value × weight, divided by 11: the remainder is the check digit, 10 is written X",
        "within: position 9 is the check digit; beyond: it is not, and the vehicle is one of North America; else cannot tell",
    ],
    limits_of_model=[
        "Only vehicles made for the USA and Canada must carry a check digit. ISO 3779 leaves position 9 to the maker elsewhere, so a number that does not fit may still be right.",
        "A first character 1 to 5 is taken as North America; say where it was sold if you know better.",
        "Characters of the same value, such as B, K, S and 2, may be taken for each other without being noticed; one number in eleven fits by chance.",
        "A number that fits need not belong to this vehicle: compare the plate, the body and the papers.",
        "Vehicles before 1981 have other numbers.",
    ],
    cautions=["not-the-makers-manual"],
    example=Example(
        given={"vin": "1111 1111 1111 1111 1"},
        printed={"check_digit": "1", "position_9": "1", "total": "89", "remainder": "1", "verdict": "within"},
        where="seventeen ones, which is no vehicle; by hand: the weights add up to 89 = 8 × 11 + 1",
    ),
)  # fmt: skip
def vin_check(
    vin: Annotated[
        str,
        Input(
            help="17 characters, from the plate at the windscreen or the door; spaces and small letters do no harm.",
            label="VIN",
            examples=("11111111111111111", "11111111111111111"),
            reader=read_vin,
        ),
    ],
    sold_in: Annotated[
        str | None,
        Input(
            help="Where it was made for, if you know.",
            label="Made for",
            choices=[NORTH_AMERICA, ELSEWHERE],
            without="the first character decides (1 to 5: North America)",
        ),
    ] = None,
) -> Answer:
    """The rule of `vin-check`."""
    total = weighted_sum(vin)
    remainder = total % 11
    digit, stands = "0123456789X"[remainder], vin[CHECK_PLACE]
    values = {"check_digit": digit, "position_9": stands, "total": total, "remainder": remainder}
    north_america = sold_in == NORTH_AMERICA or sold_in is None and vin[0] in "12345"
    if digit == stands:
        judged = Judgement(WITHIN, "the check digit fits: {check_digit} at position 9")
    elif north_america:
        judged = Judgement(
            BEYOND, "a character is misread or mistyped: position 9 is {position_9} and the others make {check_digit}. Read the plate again"
        )
    else:
        judged = Judgement(
            CANNOT_TELL,
            "position 9 is {position_9} and the others make {check_digit}; outside North America position 9 need not be a check digit. Read the plate once more and compare",
        )
    notes = [] if judged.code == WITHIN else ["Check the entries: compare the VIN with the plate, character by character."]
    return Answer(values, [judged], [*notes, "A VIN names one vehicle: share a record that holds it only with those who need it."])
