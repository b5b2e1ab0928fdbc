"""Projects: pieces made together for one place."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import dataclass

from finplan.trade.parts import Part
from finplan.trade.steps import Step
from finplan.trade.workshop import Stretch


@dataclass(frozen=True, slots=True)
class Batch:
    """Parts that get the same finishing schedule. ``parts`` are names of the project's parts.

    ``rack_share`` is the rack area a piece takes per m² of its own largest face (1.0 = laid
    edge to edge, more for gaps, less for standing on edge). ``least_loads``: into how many loads
    it is cut at the least, even where the rack holds more at once, so that a coat fits an evening.
    """

    name: str
    parts: tuple[str, ...]
    space: str
    steps: tuple[Step, ...]
    rack_share: float = 1.3
    least_loads: int = 1


@dataclass(frozen=True, slots=True)
class Project:
    """Pieces made together for one place, with the date they should be in service.

    ``name`` is what commands take (letters, digits, ``_`` and ``-``); ``title`` is for people.
    ``begins``: no work before this instant. ``assembled_together``: the assemble steps of all
    batches wait for each other. ``renews``: the installed piece whose finish this renews, None
    for new work. ``blocked``: stretches in which no work is done on it, such as guests.
    """

    name: str
    title: str
    workshop: str
    parts: tuple[Part, ...]
    batches: tuple[Batch, ...]
    uid: uuid.UUID
    in_service_by: dt.date | None = None
    begins: dt.datetime | None = None
    assembled_together: bool = True
    invented: bool = False
    notes: str = ""
    renews: uuid.UUID | None = None
    blocked: tuple[Stretch, ...] = ()
