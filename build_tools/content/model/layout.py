"""The layout: its questions, their answers, what cannot be, and the components behind them."""

from __future__ import annotations

from typing import Literal

from pydantic import (
    Field,
)

from build_tools.content.model.base import AxisId, Entry, Id, Replaceable, SheetRef, Text, When


class AxisValue(Entry):
    id: Id = Field(description="Name of the answer.", examples=["slip-on"])
    label: Text = Field(description="The answer in words.", examples=["slip-on rotor"])
    look: Text = Field(
        description="What the technician sees that tells it apart.", examples=["The rotor lifts off the studs without the bearing."]
    )
    drawing: Id | None = Field(None, description="Drawing of it.", examples=["rotor-slip-on"])


class Axis(Entry):
    """One question about the wheel end or the brake system."""

    id: AxisId = Field(description="Name of the question.", examples=["rotor"])
    of: Literal["end", "vehicle"] = Field(description="Asked of an axle end or of the whole vehicle.", examples=["end"])
    label: Text = Field(description="Its heading.", examples=["Rotor mounting"])
    question: Text = Field(description="What is asked.", examples=["How does the rotor come off?"])
    when: When = Field(
        None, description="Only for these layouts: answers to layout questions. Left out means always.", examples=["{rotor: slip-on}"]
    )
    values: list[AxisValue] = Field(
        min_length=2,
        description="The answers.",
        examples=[
            "[{id: hub, label: rotor in one piece with its hub, look: The bearing sits in it.}, {id: slip-on, label: slip-on rotor, look: It lifts off the studs.}]"
        ],
    )


class Contradiction(Entry):
    """A layout that does not exist, with the reason."""

    when: When = Field(description="The layout that does not exist.", examples=["{rotor: slip-on, bearing: tapered-roller}"])
    say: Text = Field(description="Why it does not.", examples=["A slip-on rotor has no bearing in it."])


class LayoutFile(Entry):
    axes: list[Axis] = Field(description="The questions, in the order in which they are asked.", examples=["[]"])
    impossible: list[Contradiction] = Field(description="Layouts that do not exist.", examples=["[]"])


class Component(Replaceable):
    """A part, fastener, hydraulic joint, tool or supply, by the name used throughout."""

    id: Id = Field(description="Name by which steps call it.", examples=["split-pin"])
    label: Text = Field(description="What the reader reads.", examples=["split pin"])
    kind: Literal["part", "fastener", "joint", "tool", "supply"] = Field(description="What it is.", examples=["part"])
    when: When = Field(
        None, description="Only for these layouts: answers to layout questions. Left out means always.", examples=["{rotor: slip-on}"]
    )
    term: Id | None = Field(None, description="The glossary entry with its synonyms.", examples=["cotter-pin"])
    note: Text | None = Field(None, description="Size, range, grade or how it is bought.", examples=["0.01 mm"])
    torque: SheetRef | None = Field(None, description="Fasteners: the sheet value of the final torque.", examples=["end.spindle_nut.seat"])
    sold: Text | None = Field(None, description="Parts: bought by side, by axle, as an assembly.", examples=["by axle"])
    holds_pistons: Literal["true"] | None = Field(
        None, description="With it off, pressure pushes a piston out of its bore.", examples=["true"]
    )
