"""Finishes: generic classes of product, every number with its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from finplan.trade.numbers import Number, Span


class Chemistry(StrEnum):
    """How a finish gets hard."""

    OXIDATIVE = "oxidative"
    SOLVENT = "solvent"
    WATERBORNE = "waterborne"
    TWO_COMPONENT = "two-component"
    NON_CURING = "non-curing"


class Stage(StrEnum):
    """Drying stages in the words of ASTM D1640 and ISO 9117, in their usual order."""

    SET_TO_TOUCH = "set-to-touch"
    DUST_FREE = "dust-free"
    TACK_FREE = "tack-free"
    DRY_TO_HANDLE = "dry-to-handle"
    DRY_TO_RECOAT = "dry-to-recoat"
    DRY_THROUGH = "dry-through"
    FULL_CURE = "full-cure"


STAGE_ORDER: tuple[Stage, ...] = tuple(Stage)


@dataclass(frozen=True, slots=True)
class Finish:
    """A generic class of finish.

    ``stages``: hours from the end of the coat at 23 °C and 50 % RH, for every stage
    (a stage's high end is the safe time). ``window_closes_hours``: the recoat window's end at
    the same conditions, None where it never closes. ``scuff_past_window``: whether a surface
    past the window must be scuffed before the next coat. ``spread_*``: m² per litre on smooth
    planed hardwood. ``interval_months``: renewal interval in full weather on an upright surface.
    ``cautions``: keys into the library's cautions. ``own``: entered by the user.
    """

    name: str
    title: str
    chemistry: Chemistry
    about: str
    coats: Span
    stages: Mapping[Stage, Span]
    spread_first_m2_per_l: Span
    spread_later_m2_per_l: Span
    coldest_c: Number
    refuse_below_c: Number
    warmest_c: Number
    dampest_air_percent: Number | None = None
    dampest_wood_percent: Number | None = None
    window_closes_hours: Number | None = None
    scuff_past_window: bool = False
    wipe_off_minutes: Span | None = None
    pot_life_hours: Number | None = None
    dry_film_um: Number | None = None
    shelf_life_months: Number | None = None
    activation_energy_kj_per_mol: Span | None = None
    interval_months: Span | None = None
    methods: tuple[str, ...] = ()
    uses: tuple[str, ...] = ()
    cans_l: tuple[float, ...] = ()
    cautions: tuple[str, ...] = ()
    outdoors: bool = True
    price_per_l: float | None = None
    own: bool = False
    notes: Mapping[str, str] = field(default_factory=dict)
