"""The one error that bad input raises, in every room."""

from __future__ import annotations


class BadInput(ValueError):
    """Input a person can put right: one sentence that says what, where and what to do.

    Args:
        what: the fault and the remedy, e.g. ``"length -3 mm: give a size above zero"``.
        where: file, line, field or name the fault stands at; shown in front.
    """

    def __init__(self, what: str, where: str = "") -> None:
        self.what = what
        self.where = where
        super().__init__(f"{where}: {what}" if where else what)

    def at(self, where: str) -> BadInput:
        """Return the same fault with an outer place put in front, as callers know more."""
        return BadInput(self.what, f"{where}, {self.where}" if self.where else where)
