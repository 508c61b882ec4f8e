"""A vehicle sheet, and the fields that one may hold."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import (
    Field,
    StringConstraints,
)

from build_tools.content.model.base import FIELD, AxisId, Entry, Id, Replaceable, Sourced, Text, When

FieldPath = Annotated[str, StringConstraints(pattern=FIELD)]


class UsualShare(Entry):
    """What part of another value a value usually is."""

    of: FieldPath = Field(description="The other value.", examples=["rotor.new"])
    least: Text = Field(description="The least part, as a fraction.", examples=["0.80"])
    most: Text = Field(description="The greatest part, as a fraction.", examples=["0.98"])


class SheetField(Replaceable):
    """A value that a vehicle sheet can hold; declared once, used everywhere by its path."""

    id: FieldPath = Field(description="Name of the value, by points and underscores.", examples=["rotor.discard"])
    of: Literal["end", "vehicle"] = Field(description="A value of an axle end or of the whole vehicle.", examples=["end"])
    label: Text = Field(description="What the reader reads.", examples=["Rotor discard thickness"])
    units: list[Text] = Field([], description="Metric first; empty for counts and text.", examples=["[mm, in]"])
    band: Text | None = Field(
        None,
        description="The handbook's band of figures that are usual and that can be. Left out, any figure is taken.",
        examples=["rotor thickness"],
    )
    under: list[FieldPath] = Field([], description="Values that this one must be less than.", examples=["[rotor.new]"])
    not_over: list[FieldPath] = Field([], description="Values that this one must not be more than.", examples=["[rotor.machine_to]"])
    usual_share: UsualShare | None = Field(
        None, description="What part of another value it usually is.", examples=['{of: rotor.new, least: "0.80", most: "0.98"}']
    )
    question: Text = Field(description="Where to find it.", examples=["What is stamped on the rotor?"])
    when: When = Field(
        None, description="Only for these layouts: answers to layout questions. Left out means always.", examples=["{rotor: slip-on}"]
    )

    @property
    def path(self) -> str:
        return f"{self.of}.{self.id}"


class EndSheet(Entry):
    """One axle of a vehicle: its layout and its values."""

    layout: dict[AxisId, Id] = Field(
        description="Answers to layout questions, for this axle.", examples=["{rotor: slip-on, caliper: sliding-one-piston}"]
    )
    values: dict[FieldPath, Sourced] = Field(
        {},
        description="Figures of this axle, each with unit and source.",
        examples=['{rotor.discard: {value: "22.4", unit: mm, source: stamped on the rotor}}'],
    )


class Vehicle(Replaceable):
    """The sheet of one vehicle; stock vehicles are invented."""

    id: Id = Field(description="Name of the sheet; the file's name.", examples=["red-van"])
    name: Text = Field(description="What the reader reads.", examples=["Red van (invented)"])
    invented: bool = Field(False, description="True where no real vehicle is meant.", examples=["true"])
    note: Text | None = Field(None, description="A line about it.", examples=["Long wheelbase."])
    vin: Text | None = Field(None, description="Its identification number, in quotes.", examples=['"11111111111111111"'])
    layout: dict[AxisId, Id] = Field(
        {}, description="Answers to layout questions, for the whole vehicle.", examples=["{abs: conventional}"]
    )
    values: dict[FieldPath, Sourced] = Field(
        {},
        description="Figures of the whole vehicle, each with unit and source.",
        examples=['{wheel_nut.torque: {value: "120", unit: N·m, source: "maker\'s manual, page and edition"}}'],
    )
    front: EndSheet | None = Field(None, description="The front axle.", examples=["{layout: {rotor: slip-on}}"])
    rear: EndSheet | None = Field(None, description="The rear axle.", examples=["{layout: {rotor: slip-on}}"])
