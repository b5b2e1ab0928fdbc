"""The worlds a plan may meet: how fast it dries, the weather, and the days nobody came.

In each world every finish dries by a draw from its band, the weather is another one, and work days
are missed as often as the journal shows. The same seed gives the same draws, finish by finish and
day by day, so that two requests compare. Each source of doubt can be held at its middle while the
others are drawn as before, so that what it adds shows.
"""

from __future__ import annotations

import datetime as dt
import math
import zlib
from collections.abc import Collection, Mapping
from dataclasses import replace
from enum import Enum
from functools import cached_property

import numpy as np

from finplan.air.series import AirSeries
from finplan.air.weather import as_in, days_in, mean_of, spells, strayed, until, years_like
from finplan.drying.bands import Band, prior
from finplan.planning.missed import missed_days
from finplan.planning.request import PlanRequest
from finplan.trade.moments import find_zone

DRIES_ON_DAYS = 60
"""Air is kept so much longer than the hours that are looked at, for what still dries then."""

_DAY = dt.timedelta(days=1)
_DAY_S = 86400.0
_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0


class Source(Enum):
    """What a date is in doubt from."""

    DRYING = "drying"
    DAYS = "missed days"
    WEATHER = "weather"


class Worlds:
    """The worlds a request may meet, by number.

    ``missed``: how often work days are missed. ``years``: earlier years of weather that are drawn
    from; none where the air strays from its normals instead.
    """

    def __init__(
        self,
        request: PlanRequest,
        last: dt.datetime,
        readings: Mapping[str, AirSeries] | None = None,
        seed: int = 0,
        held: Collection[Source] = (),
    ) -> None:
        """Get ready to draw.

        Args:
            request: what is planned.
            last: when all is planned to be ready.
            readings: all air that was read, by space; earlier years of it stand for the weather.
            seed: fixes the draws.
            held: what is not drawn but stands at its middle.
        """
        self._request, self._seed, self._held = request, seed, frozenset(held)
        batches = [batch for project in request.projects for batch in project.batches]
        self._spaces = sorted({batch.space for batch in batches} & request.air.keys())
        self._finishes = sorted({s.finish for batch in batches for s in batch.steps if s.finish})
        self._days = max((days_in(request.air[space]) for space in self._spaces), default=1)
        self._today = request.now.astimezone(find_zone(request.workshop.zone)).date()
        swings = {one.name: one.normals.daily_swing_c for one in request.workshop.spaces}
        self._swing_c = {space: float(np.mean(swings[space])) for space in self._spaces}
        known = {space: air for space, air in (readings or {}).items() if space in self._spaces}
        self.missed = missed_days(request)
        self.years = years_like(known, request.now.timestamp(), last.timestamp())

    def world(self, number: int, horizon_days: int) -> PlanRequest:
        """The request in one of the worlds, with air for the hours of so many days."""
        request = self._request
        people = [
            replace(person, days_off=(*person.days_off, *self._days_missed(number, at)))
            for at, person in enumerate(request.workshop.people)
        ]
        # The quantile one half: what dries as drawn, with no caution on top.
        shop = replace(request.workshop, people=tuple(people), safe_quantile=0.5)
        return replace(
            request,
            workshop=shop,
            bands=self._bands(number),
            air=self._weather(number, horizon_days),
            before=None,
        )

    def _bands(self, number: int) -> dict[tuple[str, str], Band]:
        """What is believed of each finish, made certain."""
        request, bands = self._request, {}
        for name in self._finishes:
            pace = cold = 0.0
            if Source.DRYING not in self._held:
                pace, cold = self._draws(number, f"finish {name}").standard_normal(2).tolist()
            for space in self._spaces:
                belief = request.bands.get((name, space)) or prior(request.finishes[name])
                bands[name, space] = _as_drawn(belief, pace, cold)
        return bands

    def _days_missed(self, number: int, person: int) -> tuple[dt.date, ...]:
        """The days on which somebody does not come; held: as many as usual, evenly spread."""
        days = self._request.horizon_days
        if Source.DAYS in self._held:
            # Multiples of the golden ratio fall evenly without keeping to a day of the week.
            away = np.arange(person * days, (person + 1) * days) * _GOLDEN % 1.0
            missed = away > 1.0 - self.missed.share
        else:
            draws = self._draws(number, f"days of person {person}")
            missed = draws.random(days) < draws.beta(*self.missed.weights)
        return tuple(self._today + day * _DAY for day in np.flatnonzero(missed).tolist())

    def _weather(self, number: int, horizon_days: int) -> dict[str, AirSeries]:
        end_s = self._request.now.timestamp() + (horizon_days + DRIES_ON_DAYS) * _DAY_S
        if Source.WEATHER in self._held:
            return {space: until(air, end_s) for space, air in self._usual_air.items()}
        draws = self._draws(number, "weather")
        year = self.years[int(draws.integers(len(self.years)))] if self.years else {}
        air = {space: until(self._request.air[space], end_s) for space in self._spaces}
        days = max(map(days_in, air.values()), default=0)
        shocks = draws.standard_normal((2, self._days))  # one weather for all rooms
        warmth, damp = (spells(row[:days]) for row in shocks)
        return {
            space: as_in(own, year[space])
            if space in year
            else strayed(own, self._swing_c[space], warmth, damp)
            for space, own in air.items()
        }

    @cached_property
    def _usual_air(self) -> dict[str, AirSeries]:
        """The air as it is expected, or the mean of the years it is drawn from."""
        own = {space: self._request.air[space] for space in self._spaces}
        return {
            space: mean_of([as_in(air, year[space]) for year in self.years])
            if self.years and space in self.years[0]
            else air
            for space, air in own.items()
        }

    def _draws(self, number: int, what: str) -> np.random.Generator:
        """Draws that stay the same for one thing whatever else is asked about."""
        return np.random.default_rng([self._seed, number, zlib.crc32(what.encode())])


def _as_drawn(belief: Band, pace: float, cold: float) -> Band:
    """A belief about a finish made certain.

    Args:
        belief: what is believed.
        pace: how slow it is, in standard deviations.
        cold: how strongly cold works on it, in standard deviations.
    """
    turned = belief.tilt_sigma * cold
    median = belief.median * math.exp(belief.sigma * pace - turned * belief.pivot)
    return replace(belief, median=median, tilt=belief.tilt + turned)
