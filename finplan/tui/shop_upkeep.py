"""The upkeep part of the shop's data: pieces in use, what was found and done, what comes."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from finplan.services.when import system_zone

if TYPE_CHECKING:
    from finplan.services.session import Session
    from finplan.services.upkeep import PieceSeen
    from finplan.tracking.upkeep.pieces import Blocked, InstalledPiece, UpkeepEntry, UpkeepKind
    from finplan.tracking.upkeep.window import NoWindow, Window
    from finplan.trade.finishes import Finish
    from finplan.trade.upkeep import UpkeepDefaults
    from finplan.tui.models.cared import Care


@dataclass(frozen=True, slots=True)
class PieceChoices:
    """Finishes by name and the intervals known of them, to offer for a piece."""

    finishes: Mapping[str, Finish]
    defaults: UpkeepDefaults


@dataclass(frozen=True, slots=True)
class Downtime:
    """When a renewal puts a piece out of use, or why there is no good time for it.

    ``project``: what the renewal is planned as, None while it is not.
    """

    window: Window | NoWindow
    project: str | None = None


class UpkeepShop:
    """What a person can do with pieces in use."""

    _open: Callable[[], AbstractContextManager[Session]]

    def upkeep(self, years: int) -> Care | None:
        """Return the pieces in use and what comes this year and the next ``years``, whole ones.

        None where nothing is installed.
        """
        from finplan.services.upkeep import years_ahead
        from finplan.tui.models.cared import care_of

        with self._open() as session:
            with session.store.unit(writes=False) as unit:
                installed = bool(unit.pieces.names())
            if not installed:
                return None
            zone = session.zone or system_zone()
            return care_of(years_ahead(session, years + 1), session.now, zone, years)

    def piece_choices(self) -> PieceChoices:
        """Return what a piece may be finished with."""
        from finplan.library.load import upkeep_defaults
        from finplan.services.gather import all_finishes

        with self._open() as session, session.store.unit(writes=False) as unit:
            return PieceChoices(all_finishes(unit), upkeep_defaults())

    def told_by_project(self, project: str) -> Mapping[str, Any]:
        """Return the fields of a piece that its project tells."""
        from finplan.services.installing import told_by_project

        with self._open() as session:
            return told_by_project(session, project)

    def piece_version(self, name: str) -> int:
        """Return the version of a piece as it stands, 0 where there is none."""
        with self._open() as session, session.store.unit(writes=False) as unit:
            return unit.pieces.version(name)

    def install(self, said: Mapping[str, Any], project: str | None = None) -> PieceSeen:
        """Put a piece into use; its name is its project's, or made from its title."""
        from finplan.services.installing import install_said
        from finplan.services.upkeep import seen_piece
        from finplan.trade.names import name_from

        with self._open() as session:
            with session.store.unit(writes=False) as unit:
                name = project or name_from(str(said["title"]), unit.pieces.names(), "piece")
            install_said(session, name, dict(said), project, change=False)
            return seen_piece(session, name)

    def change_piece(self, name: str, version: int, said: Mapping[str, Any]) -> PieceSeen:
        """Change a piece; refused where somebody else changed it since ``version``."""
        from finplan.services.installing import install_said
        from finplan.services.upkeep import seen_piece

        with self._open() as session:
            install_said(session, name, dict(said), None, change=True, version=version)
            return seen_piece(session, name)

    def block(
        self, names: Iterable[str], stretch: Blocked | None, calendar: Path | None
    ) -> tuple[Blocked, ...]:
        """Keep days free of upkeep on pieces, and return those days.

        Args:
            names: the pieces.
            stretch: the days, None where only the calendar file tells them.
            calendar: a file whose busy days are kept free too.
        """
        from finplan.services.installing import blocked_from, install_said

        days: list[Blocked] = [stretch] if stretch is not None else []
        with self._open() as session:
            for name in names:
                with session.store.unit(writes=False) as unit:
                    piece, version = unit.pieces.get(name), unit.pieces.version(name)
                told = list(days)
                if calendar is not None:
                    told += blocked_from(session, calendar, piece.zone)
                kept = tuple(dict.fromkeys((*piece.blocked, *told)))
                install_said(session, name, {"blocked": kept}, None, change=True, version=version)
        return tuple(told)

    def record_upkeep(
        self, piece: InstalledPiece, kind: UpkeepKind, given: Mapping[str, Any]
    ) -> PieceSeen:
        """Append an entry to a piece's log; ``given`` holds what the form asked."""
        from finplan.services.upkeep import record_upkeep
        from finplan.tracking.upkeep.pieces import UpkeepEntry

        with self._open() as session:
            draft = UpkeepEntry(
                uid=uuid.uuid4(), piece=piece.name, kind=kind, recorded_at=session.now, **given
            )
            return record_upkeep(session, piece.name, draft)

    def correct_upkeep(self, entry: UpkeepEntry, changes: Mapping[str, Any]) -> UpkeepEntry:
        """Correct an entry by another one."""
        from finplan.services.upkeep_log import correct_upkeep

        with self._open() as session:
            return correct_upkeep(session, entry.piece, entry.uid, changes)

    def undo_upkeep(self, entry: UpkeepEntry) -> UpkeepEntry:
        """Let an entry count no more."""
        from finplan.services.upkeep import undo_upkeep

        with self._open() as session:
            return undo_upkeep(session, entry.piece, str(entry.uid))

    def redo_upkeep(self, name: str) -> UpkeepEntry:
        """Bring back what was undone last on a piece."""
        from finplan.services.upkeep_log import redo_upkeep

        with self._open() as session:
            return redo_upkeep(session, name)

    def downtime_of(self, name: str) -> Downtime:
        """Return the best time for a piece's next renewal, or the planned one."""
        from finplan.services.upkeep import seen_piece
        from finplan.services.windows import renewal_project, window_of

        with self._open() as session:
            seen = seen_piece(session, name)
            return Downtime(window_of(session, seen), renewal_project(session, seen.piece))

    def plan_renewal(self, name: str) -> Downtime:
        """Keep the next renewal as a project, and return how long the piece is out of use."""
        from finplan.services.renewing import plan_renewal

        with self._open() as session:
            plan_renewal(session, name)
        return self.downtime_of(name)

    def write_care_sheet(self, name: str, path: Path) -> Path:
        """Write a piece's care sheet as a PDF, and return where it is."""
        from finplan.services.care import write_care_sheet

        with self._open() as session:
            write_care_sheet(session, name, path)
        return path
