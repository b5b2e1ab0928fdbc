"""Litres as bars: coat by coat of a project, or year by year of upkeep, finish by finish."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from finplan.prints.figures import (
    DAMP,
    DRY_WORK,
    DUSTY,
    INK,
    PALE_INK,
    WARM,
    WET,
    Kind,
    bytes_of,
    new_figure,
    styled,
)
from finplan.trade.errors import BadInput
from finplan.trade.quantities import FLUID_OUNCES_PER_GALLON, L_PER_GALLON, Units, format_volume

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.patches import Patch

_COLOURS = (WET, DUSTY, DAMP, DRY_WORK, WARM, PALE_INK)
_HATCHES = ("////", "\\\\\\\\", "....", "xxxx", "++++", "----")
_MOST_BARS = 60
_LEVEL_BARS = 14
"""More words than these can't stand side by side under a picture."""


@dataclass(frozen=True, slots=True)
class LitresBar:
    """A bar: litres by finish, used up and to come."""

    label: str
    used_l: Mapping[str, float] = field(default_factory=dict)
    coming_l: Mapping[str, float] = field(default_factory=dict)

    @property
    def litres(self) -> float:
        """The whole bar."""
        return sum(self.used_l.values()) + sum(self.coming_l.values())


@dataclass(frozen=True, slots=True)
class LitresPicture:
    """What a picture of litres is made from. ``under``: a sentence below the title."""

    title: str
    bars: Sequence[LitresBar]
    under: str = ""
    units: Units = Units.METRIC

    @property
    def two_kinds(self) -> bool:
        """Whether something is used up and something to come, so that they must be told apart."""
        used, coming = (
            any(any(some.values()) for some in kind)
            for kind in ([b.used_l for b in self.bars], [b.coming_l for b in self.bars])
        )
        return used and coming


def litres_chart(picture: LitresPicture, kind: Kind) -> bytes:
    """Return the picture of litres as the bytes of an SVG or PNG file.

    What is used up is filled, what is to come is hatched; each finish has a colour and a hatch.

    Raises:
        BadInput: nothing to draw, or more bars than fit a sheet.
    """
    if not any(bar.litres for bar in picture.bars):
        raise BadInput("no finish is used up or to come: there is nothing to draw", "chart")
    if len(picture.bars) > _MOST_BARS:
        raise BadInput(f"{len(picture.bars)} bars don't fit a picture: name fewer", "chart")
    finishes = list(
        dict.fromkeys(name for bar in picture.bars for name in (*bar.used_l, *bar.coming_l))
    )
    with styled():
        figure = new_figure(9.0, 4.4)
        axes = figure.add_axes((0.09, 0.17, 0.88, 0.6))
        _draw(axes, picture, finishes)
        figure.text(0.02, 0.95, picture.title, fontsize=12, weight="bold", va="center")
        figure.text(0.02, 0.885, picture.under, fontsize=8, color=PALE_INK, va="center")
        figure.text(
            0.02,
            0.025,
            "An estimate: the wood drinks as it likes. The label comes first.",
            fontsize=6.8,
            color=PALE_INK,
        )
        return bytes_of(figure, kind, picture.title)


def _draw(axes: Axes, picture: LitresPicture, finishes: Sequence[str]) -> None:
    unit, factor = _unit(picture)
    below = [0.0] * len(picture.bars)
    handles: list[Patch] = []
    for used, word in ((True, "used"), (False, "to come")):
        for at, name in enumerate(finishes):
            amounts = [
                (bar.used_l if used else bar.coming_l).get(name, 0.0) / factor
                for bar in picture.bars
            ]
            if any(amounts):
                look = _look(at, used=used)
                _stack(axes, amounts, below, look)
                handles.append(_key(look, name if not picture.two_kinds else f"{name}, {word}"))
    for place, (high, bar) in enumerate(zip(below, picture.bars, strict=True)):
        if bar.litres:
            words = format_volume(bar.litres, picture.units)
            axes.text(place, high, words, fontsize=7, ha="center", va="bottom", color=INK)
    _dress(axes, picture, max(below), unit)
    axes.legend(
        handles=handles,
        loc="lower right",
        bbox_to_anchor=(1.0, 1.0),
        ncols=min(len(handles), 4),
        fontsize=6.8,
        frameon=False,
        borderaxespad=0.1,
    )


def _look(at: int, *, used: bool) -> dict[str, Any]:
    """Return how a finish is drawn: filled where used up, hatched where to come."""
    colour = _COLOURS[at % len(_COLOURS)]
    hatch = "" if used else _HATCHES[at % len(_HATCHES)]
    return {"facecolor": colour if used else "white", "edgecolor": colour, "hatch": hatch}


def _stack(axes: Axes, amounts: list[float], below: list[float], look: dict[str, Any]) -> None:
    """Draw a finish's share on top of what stands, and raise what stands by it."""
    places = [place for place, amount in enumerate(amounts) if amount]
    axes.bar(
        places,
        [amounts[place] for place in places],
        bottom=[below[place] for place in places],
        width=0.62,
        linewidth=0.7,
        zorder=2,
        **look,
    )
    for place in places:
        below[place] += amounts[place]


def _key(look: dict[str, Any], label: str) -> Patch:
    from matplotlib.patches import Patch

    return Patch(label=label, **look)


def _dress(axes: Axes, picture: LitresPicture, top: float, unit: str) -> None:
    count = len(picture.bars)
    turned = count > _LEVEL_BARS
    axes.set_ylim(0, top * 1.15)
    axes.set_xlim(-0.6, count - 0.4)
    axes.set_xticks(
        range(count),
        [bar.label for bar in picture.bars],
        fontsize=7.5,
        rotation=60 if turned else 0,
        ha="right" if turned else "center",
    )
    axes.set_ylabel(unit, fontsize=8)
    axes.tick_params(axis="y", labelsize=7.5)
    axes.tick_params(axis="x", length=0)
    for edge in ("top", "right"):
        axes.spines[edge].set_visible(False)


def _unit(picture: LitresPicture) -> tuple[str, float]:
    """Return the axis's unit and the litres of one of it."""
    if picture.units is Units.METRIC:
        return "litres", 1.0
    most = max(bar.litres for bar in picture.bars)
    gallons = most >= L_PER_GALLON
    return (
        ("US gallons", L_PER_GALLON)
        if gallons
        else ("US fluid ounces", L_PER_GALLON / FLUID_OUNCES_PER_GALLON)
    )
