"""The care sheet on paper: headings and lines, the cautions in a box."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from finplan.prints.figures import styled
from finplan.prints.setting import MARGIN_PT, Setter, as_pdf, wrapped

_SIZE = 9.5
_INDENT = 10.0


@dataclass(frozen=True, slots=True)
class Sheet:
    """All that stands on a sheet. ``blocks``: headings, each with its lines.

    ``boxed``: lines set in a box at the end. ``width_pt`` and ``height_pt``: the paper, in points.
    """

    title: str
    blocks: Sequence[tuple[str, Sequence[str]]]
    boxed: Sequence[str]
    foot: str
    width_pt: float = 595.0
    height_pt: float = 842.0


def sheet_pdf(sheet: Sheet) -> bytes:
    """Return a sheet as the bytes of a PDF file; the same sheet gives the same bytes."""
    with styled():
        setter = Setter(sheet.width_pt, sheet.height_pt, MARGIN_PT)
        setter.text(sheet.title, size=16, bold=True)
        setter.rule()
        for heading, lines in sheet.blocks:
            _set_block(setter, heading, lines)
        if sheet.boxed:
            setter.gap(4)
            setter.boxed(sheet.boxed, size=8.5)
        return as_pdf(setter, sheet.title, sheet.foot)


def _set_block(setter: Setter, heading: str, lines: Sequence[str]) -> None:
    first = len(wrapped(lines[0], _SIZE, setter.inner_pt - _INDENT)) if lines else 0
    setter.need(26 + first * _SIZE * 1.35)
    setter.gap(8)
    if heading:
        setter.text(heading, size=11, bold=True)
        setter.gap(2)
    for line in lines:
        setter.beside("–", at=0, size=_SIZE)
        setter.text(line, size=_SIZE, indent=_INDENT)
        setter.gap(2)
