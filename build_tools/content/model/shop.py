"""What a shop says of itself and of a plain page."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import (
    Field,
    model_validator,
)

from build_tools.content.model.base import Date, Entry, Text, mistake


class Shop(Entry):
    """Whose pages stand beside the stock ones."""

    name: Text = Field(description="The shop's name, as it stands on its pages.", examples=["Example shop (invented)"])
    units: Literal["metric", "inch"] = Field("metric", description="The units the shop thinks in.", examples=["metric"])
    rules: list[Text] = Field(
        [],
        description="House rules, a line each; they stand on the first page.",
        examples=["[A second person looks at every final torque.]"],
    )
    contact: Text | None = Field(None, description="Whom to ask about the shop's pages.", examples=["The shop lead, in the office"])
    note: Text | None = Field(
        None, description="For whoever looks after this folder; stands on no page.", examples=["Copied from the old binder."]
    )


class PageHead(Entry):
    """What may stand between two lines of --- at the top of a plain page."""

    state: Literal["draft", "approved"] = Field(
        "draft", description="A draft says on the page that nobody has approved it yet.", examples=["approved"]
    )
    date: Date | None = Field(None, description="Day of the newest wording, year first.", examples=["2026-11-27"])
    reason: Text | None = Field(None, description="What is new in it.", examples=["First issue."])
    approver: Text | None = Field(None, description="Who approved it.", examples=["shop lead"])

    @model_validator(mode="after")
    def _approved(self) -> Self:
        if self.state == "approved" and not (self.date and self.approver):
            raise mistake("S112", "An approved page names date and approver.", "{state: approved, date: 2026-11-27, approver: shop lead}")
        return self
