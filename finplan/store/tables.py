"""Every table, so that the metadata is whole wherever it is needed as a whole."""

from __future__ import annotations

from finplan.store.air import AirRow
from finplan.store.air_changes import AirChangeRow
from finplan.store.base import metadata
from finplan.store.change import ChangeRow
from finplan.store.edits import ProjectEditRow
from finplan.store.finishes import FinishRow
from finplan.store.journal import JournalRow
from finplan.store.ledger import CalendarItemRow
from finplan.store.projects import ProjectRow
from finplan.store.settings import LearnedResetRow, SettingRow
from finplan.store.upkeep import InstalledPieceRow, UpkeepRow
from finplan.store.workshops import WorkshopRow

__all__ = [
    "AirChangeRow",
    "AirRow",
    "CalendarItemRow",
    "ChangeRow",
    "FinishRow",
    "InstalledPieceRow",
    "JournalRow",
    "LearnedResetRow",
    "ProjectEditRow",
    "ProjectRow",
    "SettingRow",
    "UpkeepRow",
    "WorkshopRow",
    "metadata",
]
