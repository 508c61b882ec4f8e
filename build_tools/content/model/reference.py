"""Terms and reference pages."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import (
    Field,
    model_validator,
)

from build_tools.content.model.base import Entry, Id, Ids, Replaceable, SourceRefs, Text, mistake


class Term(Replaceable):
    """A glossary entry: the preferred term, its synonyms, and what it means."""

    id: Id = Field(description="Name of the entry.", examples=["cotter-pin"])
    term: Text = Field(description="The word the handbook uses.", examples=["cotter pin"])
    american: list[Text] = Field([], description="What else it is called in America.", examples=["[cotter key]"])
    british: list[Text] = Field([], description="What it is called in Britain.", examples=["[split pin]"])
    meaning: Text = Field(description="What it is.", examples=["A pin of folded wire that locks a castle nut."])
    not_to_be_confused: list[Text] = Field([], description="What it is not.", examples=['["Clevis pin: carries a load."]'])


class ReferenceItem(Entry):
    """One kind of part, or one subject, on a reference page."""

    id: Id = Field(description="Name of the item.", examples=["slip-on"])
    name: Text = Field(description="What it is called.", examples=["slip-on rotor"])
    drawing: Id | None = Field(None, description="Drawing in docs/drawings.", examples=["rotor-slip-on"])
    look: Text | None = Field(None, description="What the technician sees that tells it apart.", examples=["It lifts off the studs."])
    points: list[Text] = Field(
        min_length=1, description="What to know about it, a fact a line.", examples=["[It is held by the wheel nuts alone.]"]
    )
    never: list[Text] = Field(
        [], description="What is not done with it, with the reason.", examples=['["Never hammered on the band: it cracks."]']
    )
    procedures: Ids = Field([], description="Where the work on it stands.", examples=["[fit-slip-on-rotor]"])
    sources: SourceRefs = Field(
        description="Where it comes from: ids of sources, `common-practice` or `memory`.", examples=["common-practice"]
    )


class Table(Entry):
    """A table of figures or facts: written out with its sources, or worked out from the calculators' own data."""

    id: Id = Field(description="Name of the table.", examples=["our-tools"])
    caption: Text = Field(description="Its heading.", examples=["Our measuring tools"])
    computed: Id | None = Field(
        None, description="Name of a table that build_tools/content/computed_tables.py works out.", examples=["unit-conversion"]
    )
    columns: list[Text] = Field([], description="Headings of the columns.", examples=["[Tool, Where]"])
    rows: list[list[Text]] = Field([], description="The rows, an entry for each column.", examples=["[[Micrometer, drawer 2]]"])
    note: Text | None = Field(None, description="A line below it.", examples=["Checked every January."])
    sources: SourceRefs = Field(
        description="Where it comes from: ids of sources, `common-practice` or `memory`.", examples=["common-practice"]
    )

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if (self.computed is None) == (not self.rows):
            raise mistake("E117", "A table holds either rows with their columns, or 'computed'.", "{columns: [Tool], rows: [[Micrometer]]}")
        if any(len(row) != len(self.columns) for row in self.rows):
            number, row = next((number, row) for number, row in enumerate(self.rows, 1) if len(row) != len(self.columns))
            raise mistake(
                "E117",
                f"Row {number} has {len(row)} of the {len(self.columns)} entries that the columns ask for.",
                "columns: [Tool, Place]\nrows: [[Micrometer, drawer 2]]",
            )
        return self


class ReferencePage(Entry):
    """A page to look things up in: kinds of parts, tables, or safety."""

    id: Id = Field(description="Name of the page; the file's name.", examples=["rotors"])
    title: Text = Field(description="Its title.", examples=["Rotors"])
    group: Literal["parts", "tables", "safety"] = Field(description="Where it stands in the menu.", examples=["parts"])
    purpose: Text = Field(description="What it is for.", examples=["Tell one kind of rotor from another."])
    items: list[ReferenceItem] = Field([], description="What stands on it.", examples=["[]"])
    tables: list[Table] = Field([], description="Its tables.", examples=["[]"])
    cautions: Ids = Field([], description="Ids of safety messages.", examples=["[brake-dust]"])
    sources: SourceRefs = Field(
        description="Where it comes from: ids of sources, `common-practice` or `memory`.", examples=["common-practice"]
    )

    @model_validator(mode="after")
    def _filled(self) -> Self:
        if not self.items and not self.tables:
            raise mistake(
                "E116",
                "A page to look things up in holds items or tables.",
                "items: [{id: slip-on, name: slip-on rotor, points: [It slides off.], sources: common-practice}]",
            )
        return self
