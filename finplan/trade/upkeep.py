"""Upkeep defaults: how exposure stretches or shortens the time between renewals."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from finplan.trade.numbers import Number, Span

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from finplan.trade.finishes import Finish


class Exposure(StrEnum):
    """What a piece has to bear; several may hold at once."""

    FLAT = "flat"
    WET_OR_TRODDEN = "wet daily or trodden"
    COVERED = "covered"
    INDOORS = "indoors, dry"


@dataclass(frozen=True, slots=True)
class UpkeepDefaults:
    """What the library knows of upkeep.

    ``multipliers`` apply to a finish's interval upright in full weather. ``indoor_months`` is
    the interval of finishes that are not for outdoors, by finish name. ``inspect_share`` and
    ``clean_share``: how often to look and to clean within one interval.
    """

    multipliers: Mapping[Exposure, Number]
    indoor_months: Mapping[str, Span]
    inspect_share: Number
    clean_share: Number
    water_test: str


def renewal_months(
    finish: Finish, exposures: Iterable[Exposure], defaults: UpkeepDefaults
) -> Span | None:
    """Return the months between renewals of a finish under some exposures.

    An outdoor finish's interval is multiplied for each exposure; one for indoors has its own
    indoor interval, and none outdoors. None where nothing is known.
    """
    kinds = set(exposures)
    base = finish.interval_months
    factors = kinds
    if finish.name in defaults.indoor_months and Exposure.INDOORS in kinds:
        base, factors = defaults.indoor_months[finish.name], kinds - {Exposure.INDOORS}
    if base is None:
        return None
    factor, sources = 1.0, [base.source]
    for kind in sorted(factors):
        factor *= defaults.multipliers[kind].value
        sources.append(f"{kind.value}: {defaults.multipliers[kind].source}")
    return Span(base.low * factor, base.high * factor, "; ".join(sources))
