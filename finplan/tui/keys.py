"""All bindings of the interface, for remapping and for checking them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from textual.app import App
from textual.binding import ActiveBinding, Binding
from textual.dom import DOMNode

MOVES = frozenset(
    {
        *(f"list.{way}" for way in ("down", "up", "page_down", "page_up", "first", "last")),
        *(f"sheet.{way}" for way in ("down", "up", "page_down", "page_up")),
        *(f"timeline.{way}" for way in ("before", "after", "up", "down", "forward", "back")),
        *(f"choice.{way}" for way in ("before", "next")),
        *(f"form.{way}" for way in ("next", "before")),
    }
)
"""Ids of the keys that only move: everybody tries these first."""


def in_order(bindings: Iterable[ActiveBinding]) -> list[ActiveBinding]:
    """Return the live bindings that a person is told of.

    What can be done here comes first, then what can be done anywhere, then what only moves, then
    the ways to the other areas.
    """
    told = [one for one in bindings if one.binding.id and not one.binding.id.startswith("app.")]
    return sorted(told, key=_rank)


def _rank(active: ActiveBinding) -> int:
    key = active.binding.id or ""
    if key.startswith("area."):
        return 3
    if key in MOVES:
        return 2
    return 1 if isinstance(active.node, App) else 0


def own_bindings() -> Iterator[Binding]:
    """Yield every binding that a class of this interface declares."""
    from finplan.tui.screens.pages import load_all

    load_all()
    classes: list[type] = [DOMNode]
    seen: set[type] = set()
    while classes:
        found = classes.pop()
        if found in seen:
            continue
        seen.add(found)
        classes += found.__subclasses__()
        if found.__module__.startswith("finplan.tui."):
            for binding in vars(found).get("BINDINGS", ()):
                if isinstance(binding, Binding):
                    yield binding


def known_bindings() -> frozenset[str]:
    """Return the ids by which keys can be changed in the configuration file."""
    return frozenset(binding.id for binding in own_bindings() if binding.id)
