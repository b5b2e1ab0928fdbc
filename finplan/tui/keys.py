"""All bindings of the interface, for remapping and for checking them."""

from __future__ import annotations

from collections.abc import Iterator

from textual.binding import Binding
from textual.dom import DOMNode


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
