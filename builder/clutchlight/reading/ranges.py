"""Ranges as they are written, `{from: 55, to: 60}`: of days, which are whole, and of other numbers. The smaller one stands first."""

from __future__ import annotations

from fractions import Fraction
from typing import ClassVar, Self

from pydantic import Field, model_validator

from clutchlight.reading.fields import Count, Number
from clutchlight.reading.strict import Written, unfit


class _Ordered(Written):
    noun: ClassVar[str] = "a range"
    first: int | Fraction
    last: int | Fraction

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.last < self.first:
            raise unfit(
                "bad-number",
                f"`to` ({self.last}) is less than `from` ({self.first}); write the smaller one first",
                self.at.value("to"),
            )
        return self


class Range(_Ordered):
    """Of months, of grams."""

    first: Number = Field(alias="from")
    last: Number = Field(alias="to")


class DayRange(_Ordered):
    """Of days."""

    noun: ClassVar[str] = "a range of days"
    first: Count = Field(alias="from")
    last: Count = Field(alias="to")
