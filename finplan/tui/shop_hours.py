"""The workshop itself as the screens change it: who works when, and the rooms there are."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from finplan.tui.shop_dates import DateShop

if TYPE_CHECKING:
    from finplan.services.editing import Edited
    from finplan.services.workshops import Change


class HoursShop(DateShop):
    """What can be changed of a workshop."""

    def change_workshop(self, name: str, changes: Sequence[Change]) -> Edited:
        """Keep a changed workshop, and plan what is made in it anew.

        Raises:
            BadInput: it cannot be so, or what is made there would no longer fit. Nothing is kept.
        """
        from finplan.services.editing import Edited
        from finplan.services.workshops import change_workshop

        with self._open() as session:
            done = change_workshop(session, name, changes)
        return Edited(name, done.words, done.moved)
