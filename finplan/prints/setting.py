"""Setting text on pages: lines that fit, one below the other, a new page where one is full."""

from __future__ import annotations

import io
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from finplan.prints.figures import INK, PALE_INK, new_figure

if TYPE_CHECKING:
    from collections.abc import Iterable

    from matplotlib.figure import Figure

MARGIN_PT = 42.0

_FOOT_PT = 22.0
_LEADING = 1.35
_MEASURED_PT = 100.0
"""The size letters are measured at."""
_POINTS_PER_INCH = 72.0


class Setter:
    """Sets text down a page, in points; ``pages`` are the pages set so far."""

    def __init__(self, width_pt: float, height_pt: float, margin_pt: float) -> None:
        self.width_pt, self.height_pt, self.margin_pt = width_pt, height_pt, margin_pt
        self.inner_pt = width_pt - 2 * margin_pt
        self.pages: list[Figure] = []
        self._down = 0.0
        self.new_page()

    def new_page(self) -> None:
        """Begin a page."""
        self.pages.append(
            new_figure(self.width_pt / _POINTS_PER_INCH, self.height_pt / _POINTS_PER_INCH)
        )
        self._down = self.margin_pt

    def need(self, height_pt: float) -> None:
        """Begin a page unless this height is left on the one at hand."""
        fits = self._down + height_pt <= self.height_pt - self.margin_pt
        if not fits and self._down > self.margin_pt:
            self.new_page()

    def gap(self, height_pt: float) -> None:
        """Leave room."""
        self._down += height_pt

    def text(
        self, text: str, *, size: float, indent: float = 0, bold: bool = False, colour: str = INK
    ) -> None:
        """Set a text in as many lines as it takes."""
        for line in wrapped(text, size, self.inner_pt - indent, bold=bold):
            self.need(size * _LEADING)
            self._put(line, self.margin_pt + indent, self._down, size, bold, colour)
            self._down += size * _LEADING

    def beside(self, text: str, *, at: float, size: float) -> None:
        """Set a short text on the line that comes next, without moving on."""
        self._put(text, self.margin_pt + at, self._down, size, False, INK)

    def at(self, text: str, left: float, down: float, *, size: float, bold: bool = False) -> None:
        """Set one line at a place below and right of where setting stands."""
        self._put(text, self.margin_pt + left, self._down + down, size, bold, INK)

    def rule(self) -> None:
        """Draw a thin line across."""
        self._rectangle(0, self.inner_pt, 0.4, PALE_INK, filled=True)
        self._down += 4

    def tick_box(self) -> None:
        """Draw a box to tick on the line that comes next."""
        self._rectangle(2, 9, 9, INK, filled=False, down=1.5)

    def frame(self, left: float, width: float, height: float) -> None:
        """Draw a frame from where setting stands."""
        self._rectangle(left, width, height, PALE_INK, filled=False)

    def boxed(self, texts: Iterable[str], *, size: float) -> None:
        """Set texts one below the other inside a frame."""
        listed = [line for text in texts for line in wrapped(f"! {text}", size, self.inner_pt - 16)]
        height = len(listed) * size * _LEADING + 12
        self.need(height)
        self.frame(0, self.inner_pt, height)
        for number, line in enumerate(listed):
            self.at(line, 8, 6 + number * size * _LEADING, size=size)
        self._down += height

    def _put(
        self, text: str, left: float, down: float, size: float, bold: bool, colour: str
    ) -> None:
        self.pages[-1].text(
            left / self.width_pt,
            1 - (down + size) / self.height_pt,
            text,
            fontsize=size,
            weight="bold" if bold else "normal",
            color=colour,
            va="baseline",
        )

    def _rectangle(
        self,
        left: float,
        width: float,
        height: float,
        colour: str,
        *,
        filled: bool,
        down: float = 0.0,
    ) -> None:
        from matplotlib.patches import Rectangle

        page = self.pages[-1]
        page.add_artist(
            Rectangle(
                (
                    (self.margin_pt + left) / self.width_pt,
                    1 - (self._down + down + height) / self.height_pt,
                ),
                width / self.width_pt,
                height / self.height_pt,
                fill=filled,
                facecolor=colour,
                edgecolor=colour,
                linewidth=0.8,
                transform=page.transSubfigure,
            )
        )


def as_pdf(setter: Setter, title: str, foot: str) -> bytes:
    """Return the pages set as the bytes of a PDF file, with a foot and their numbers.

    The same pages give the same bytes.
    """
    from matplotlib import rc_context
    from matplotlib.backends.backend_pdf import PdfPages

    left, down = setter.margin_pt / setter.width_pt, _FOOT_PT / setter.height_pt
    target = io.BytesIO()
    with (
        rc_context({"pdf.fonttype": 42}),
        PdfPages(target, metadata={"Title": title, "CreationDate": None}) as pdf,
    ):
        for number, page in enumerate(setter.pages, 1):
            count = f"{number} of {len(setter.pages)}"
            page.text(left, down, foot, fontsize=6.8, color=PALE_INK)
            page.text(1 - left, down, count, fontsize=6.8, color=INK, ha="right")
            pdf.savefig(page)
    return target.getvalue()


def wrapped(text: str, size: float, width_pt: float, *, bold: bool = False) -> list[str]:
    """Return a text in lines no wider than ``width_pt`` at a size; a long word is broken."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        joined = f"{line} {word}" if line else word
        if _width(joined, size, bold) <= width_pt:
            line = joined
            continue
        if line:
            lines.append(line)
        line = word
        while _width(line, size, bold) > width_pt and len(line) > 1:
            keep = max(1, int(len(line) * width_pt / _width(line, size, bold)))
            lines.append(line[:keep])
            line = line[keep:]
    return [*lines, line]


def _width(text: str, size: float, bold: bool) -> float:
    return size * sum(_advance(letter, bold) for letter in text)


@lru_cache(maxsize=4096)
def _advance(letter: str, bold: bool) -> float:
    """Return how far a letter takes the line on, in sizes of the font.

    Kerning is left out: it draws letters together, so that a line is no wider than measured.
    """
    from matplotlib.ft2font import LoadFlags

    font = _font(bold)
    font.set_size(_MEASURED_PT, _POINTS_PER_INCH)
    glyph = font.load_char(ord(letter), flags=LoadFlags.NO_HINTING)
    return float(glyph.linearHoriAdvance) / 65536.0 / _MEASURED_PT


@lru_cache(maxsize=2)
def _font(bold: bool) -> Any:
    from matplotlib.font_manager import FontProperties, findfont, get_font

    return get_font(findfont(FontProperties(weight="bold" if bold else "normal")))
