"""Air by workshop and space: what was read, and what is forecast."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING

from sqlalchemy import ColumnElement, and_, delete, insert
from sqlmodel import Field, Session, col, select

from finplan.air.series import AirSource, source_code
from finplan.store.base import Table, in_parts
from finplan.trade.errors import BadInput
from finplan.trade.plain import from_plain

if TYPE_CHECKING:
    from finplan.air.series import AirSeries

STORED = (AirSource.READING, AirSource.FORECAST)


class AirRow(Table, table=True):
    """The air from one instant on (seconds since 1970 UTC)."""

    __tablename__ = "air"

    workshop: str = Field(primary_key=True)
    space: str = Field(primary_key=True)
    kind: str = Field(primary_key=True)
    at_s: float = Field(primary_key=True)
    temperature_c: float
    humidity_percent: float


class Air:
    """Readings and forecasts, space by space."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def at(
        self, workshop: str, space: str, kind: AirSource, instants: Sequence[float]
    ) -> dict[float, tuple[float, float]]:
        """Return °C and relative humidity in % at those of some instants that are known."""
        _refuse_computed(kind)
        query = select(AirRow.at_s, AirRow.temperature_c, AirRow.humidity_percent)
        found: dict[float, tuple[float, float]] = {}
        for some in in_parts(instants):
            these = query.where(_of(workshop, space, kind), col(AirRow.at_s).in_(some))
            found |= {at_s: (warm, damp) for at_s, warm, damp in self._session.exec(these).all()}
        return found

    def forget(self, workshop: str, space: str, kind: AirSource, instants: Sequence[float]) -> int:
        """Forget the air at some instants, and return how many were known."""
        _refuse_computed(kind)
        gone = 0
        for some in in_parts(instants):
            these = delete(AirRow).where(_of(workshop, space, kind), col(AirRow.at_s).in_(some))
            gone += self._session.connection().execute(these).rowcount
        return gone

    def add_readings(
        self, workshop: str, space: str, series: AirSeries, kind: AirSource = AirSource.READING
    ) -> int:
        """Keep the steps of ``series``; what was known for the same instants is replaced.

        Args:
            workshop: whose air it is.
            space: the space of that workshop.
            series: the steps; their own ``source`` is not looked at.
            kind: readings or a forecast.

        Returns:
            How many instants were not known before.

        Raises:
            BadInput: this kind of air is computed, never kept.
        """
        instants = [float(at_s) for at_s in series.at_s]
        replaced = self.forget(workshop, space, kind, instants)
        rows = [
            {
                "workshop": workshop,
                "space": space,
                "kind": kind.value,
                "at_s": at_s,
                "temperature_c": float(temperature_c),
                "humidity_percent": float(humidity_percent),
            }
            for at_s, temperature_c, humidity_percent in zip(
                instants, series.temperature_c, series.humidity_percent, strict=True
            )
        ]
        if rows:
            self._session.connection().execute(insert(AirRow), rows)
        return len(rows) - replaced

    def readings(
        self,
        workshop: str,
        space: str,
        since: dt.datetime | None = None,
        until: dt.datetime | None = None,
        kind: AirSource = AirSource.READING,
    ) -> AirSeries | None:
        """Return the steps kept for a space, None where there are none.

        Args:
            workshop: whose air it is.
            space: the space of that workshop.
            since: the first instant looked at; None from the beginning.
            until: the last one; None to the end.
            kind: readings or a forecast.

        Raises:
            BadInput: this kind of air is computed, never kept.
        """
        import numpy as np

        from finplan.air.series import AirSeries

        _refuse_computed(kind)
        query = select(AirRow.at_s, AirRow.temperature_c, AirRow.humidity_percent)
        query = query.where(_of(workshop, space, kind)).order_by(col(AirRow.at_s))
        if since is not None:
            query = query.where(AirRow.at_s >= since.timestamp())
        if until is not None:
            query = query.where(AirRow.at_s <= until.timestamp())
        rows = self._session.exec(query).all()
        if not rows:
            return None
        at_s, temperature_c, humidity_percent = np.array([tuple(row) for row in rows], float).T
        source = np.full(len(rows), source_code(kind), np.uint8)
        return AirSeries(at_s.copy(), temperature_c.copy(), humidity_percent.copy(), source)

    def spaces(self, workshop: str) -> tuple[tuple[str, AirSource], ...]:
        """Return which spaces have air kept, and of which kind."""
        query = select(AirRow.space, AirRow.kind).where(AirRow.workshop == workshop).distinct()
        rows = self._session.exec(query).all()
        return tuple(
            sorted(
                (space, from_plain(AirSource, kind, f"air of {space!r}")) for space, kind in rows
            )
        )


def _of(workshop: str, space: str, kind: AirSource) -> ColumnElement[bool]:
    return and_(
        col(AirRow.workshop) == workshop,
        col(AirRow.space) == space,
        col(AirRow.kind) == kind.value,
    )


def _refuse_computed(kind: AirSource) -> None:
    if kind not in STORED:
        raise BadInput(
            f"air of the kind {kind.value!r} is computed: only readings and forecasts are kept"
        )
