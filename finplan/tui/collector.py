"""The garbage collector, kept from the thousands of things that stay as long as the program runs.

To look through all of them stops every thread for a tenth of a second, at any moment. The things
that come and go later, the data that is read among them, are few beside them and are looked
through as always.
"""

from __future__ import annotations

import gc


def rest() -> None:
    """Look for no garbage while the program is loaded: nearly all that is made then stays."""
    gc.disable()


def resume() -> None:
    """Look for garbage again, but never in what is there now."""
    gc.freeze()
    gc.enable()


def look_everywhere() -> None:
    """Look for garbage as any program does."""
    gc.unfreeze()
    gc.enable()
