"""The shop card: the plan on paper, with boxes to tick, and a label for each load on the rack.

What stands on it is decided by the caller; here it is set on pages. The same card gives the same
bytes.
"""

from __future__ import annotations

from dataclasses import dataclass

from finplan.prints.figures import PALE_INK, styled
from finplan.prints.setting import MARGIN_PT, Setter, as_pdf, wrapped

_LABELS_ACROSS = 2
_LABEL_ROOM = 12.0


@dataclass(frozen=True, slots=True)
class CardLine:
    """One step to tick. ``notes`` stand smaller below it; ``cautions`` too, marked."""

    when: str
    what: str
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CardDay:
    """A day and what is to be done on it."""

    day: str
    lines: tuple[CardLine, ...]


@dataclass(frozen=True, slots=True)
class Label:
    """What hangs at one load on the rack; a line for each coat."""

    title: str
    about: str
    coats: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """All that stands on a shop card. ``width_pt`` and ``height_pt``: the paper, in points."""

    title: str
    head: tuple[str, ...]
    cautions: tuple[str, ...]
    days: tuple[CardDay, ...]
    labels: tuple[Label, ...]
    foot: str
    width_pt: float = 595.0
    height_pt: float = 842.0


def card_pdf(card: Card) -> bytes:
    """Return a shop card as the bytes of a PDF file."""
    with styled():
        setter = Setter(card.width_pt, card.height_pt, MARGIN_PT)
        _set_head(setter, card)
        for day in card.days:
            _set_day(setter, day)
        if card.labels:
            _set_labels(setter, card)
        return as_pdf(setter, f"Shop card: {card.title}", card.foot)


def _set_head(setter: Setter, card: Card) -> None:
    setter.text(card.title, size=16, bold=True)
    setter.gap(2)
    for line in card.head:
        setter.text(line, size=9)
    setter.gap(5)
    if card.cautions:
        setter.boxed(card.cautions, size=8)


def _set_day(setter: Setter, day: CardDay) -> None:
    first = day.lines[0] if day.lines else None
    setter.need(26 + (_height(setter, first) if first else 0))
    setter.gap(8)
    setter.text(day.day, size=10, bold=True)
    setter.rule()
    for line in day.lines:
        _set_line(setter, line)


def _set_line(setter: Setter, line: CardLine) -> None:
    setter.need(_height(setter, line))
    setter.tick_box()
    setter.beside(line.when, at=20, size=9)
    setter.text(line.what, size=9, indent=96)
    for note in line.notes:
        setter.text(note, size=7.5, indent=96, colour=PALE_INK)
    for caution in line.cautions:
        setter.text(f"! {caution}", size=7.5, indent=96)
    setter.text(
        "done ______________   air ______ °  ______ %   by ____________", size=7.5, indent=96
    )
    setter.gap(4)


def _height(setter: Setter, line: CardLine) -> float:
    small = (*line.notes, *line.cautions, "done")
    rows = len(wrapped(line.what, 9, setter.inner_pt - 96))
    rows_small = sum(len(wrapped(text, 7.5, setter.inner_pt - 96)) for text in small)
    return rows * 9 * 1.35 + rows_small * 7.5 * 1.35 + 4


def _set_labels(setter: Setter, card: Card) -> None:
    setter.new_page()
    setter.text("Labels for the rack: cut them out, hang one at each load", size=10, bold=True)
    setter.gap(6)
    width = (setter.inner_pt - _LABEL_ROOM * (_LABELS_ACROSS - 1)) / _LABELS_ACROSS
    for first in range(0, len(card.labels), _LABELS_ACROSS):
        row = card.labels[first : first + _LABELS_ACROSS]
        height = max(_label_height(label, width) for label in row)
        setter.need(height + _LABEL_ROOM)
        for place, label in enumerate(row):
            _set_label(setter, label, place * (width + _LABEL_ROOM), width, height)
        setter.gap(height + _LABEL_ROOM)


def _label_height(label: Label, width: float) -> float:
    lines = [(label.title, 11), (label.about, 8), *((coat, 8.5) for coat in label.coats)]
    return 16 + sum(len(wrapped(text, size, width - 16)) * size * 1.45 for text, size in lines)


def _set_label(setter: Setter, label: Label, left: float, width: float, height: float) -> None:
    setter.frame(left, width, height)
    down = 8.0
    for text, size, bold in (
        (label.title, 11.0, True),
        (label.about, 8.0, False),
        *((coat, 8.5, False) for coat in label.coats),
    ):
        for line in wrapped(text, size, width - 16):
            setter.at(line, left + 8, down, size=size, bold=bold)
            down += size * 1.45
