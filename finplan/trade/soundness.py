"""Whether a project and a workshop make sense before anything is planned with them."""

from __future__ import annotations

from collections.abc import Iterable

from finplan.trade.errors import BadInput
from finplan.trade.names import (
    LONGEST_NOTE,
    clean_note,
    clean_text,
    did_you_mean,
    legal_project_name,
)
from finplan.trade.parts import Hole, Part
from finplan.trade.plain import place_of, within
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Step
from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow

LONGEST_MM = 100_000.0
MOST_PIECES = 1_000_000
MONTHS = 12
DAY_MINUTES = 24 * 60


def check_project(project: Project, where: str = "") -> None:
    """Refuse a project that cannot be meant.

    Raises:
        BadInput: a size, count, name or reference that is wrong, with the field it stands in.
    """
    legal_project_name(project.name, within(where, "name"))
    clean_text(project.title, within(where, "title"))
    clean_note(project.notes, within(where, "notes"))
    _no_twins((part.name for part in project.parts), "part", where)
    _no_twins((batch.name for batch in project.batches), "batch", where)
    for number, part in enumerate(project.parts, 1):
        check_part(part, place_of(within(where, "parts"), number, part.name))
    known = {part.name for part in project.parts}
    batch_of: dict[str, str] = {}
    for number, batch in enumerate(project.batches, 1):
        place = place_of(within(where, "batches"), number, batch.name)
        _check_batch(batch, known, place)
        for name in batch.parts:
            if batch_of.setdefault(name, batch.name) != batch.name:
                raise BadInput(
                    f"part {name!r} is in batch {batch_of[name]!r} already: leave it in one", place
                )


def check_part(part: Part, where: str = "") -> None:
    """Refuse a part no workshop could hold.

    Raises:
        BadInput: a quantity or size that is not above zero, or a hole wider than the piece.
    """
    clean_text(part.name, within(where, "name"))
    clean_text(part.wood, within(where, "wood"))
    if not 1 <= part.quantity <= MOST_PIECES:
        raise BadInput(
            f"{part.quantity} pieces: give a quantity from 1 to {MOST_PIECES:,}",
            within(where, "quantity"),
        )
    for name in ("length_mm", "width_mm", "thickness_mm"):
        _check_size(getattr(part, name), within(where, name))
    if not part.faces:
        raise BadInput("no face is finished: name at least one", within(where, "faces"))
    for number, hole in enumerate(part.holes, 1):
        _check_hole(hole, part, within(where, f"holes {number}"))


def check_workshop(workshop: Workshop, where: str = "") -> None:
    """Refuse a workshop nobody could work in.

    Raises:
        BadInput: an unknown time zone, a rule that cannot be read, a number out of range.
    """
    clean_text(workshop.name, within(where, "name"))
    _check_zone(workshop.zone, within(where, "zone"))
    if not 0.5 <= workshop.safe_quantile < 1:
        raise BadInput(
            f"{workshop.safe_quantile:g} is no safe quantile: give 0.5 to 0.99",
            within(where, "safe_quantile"),
        )
    for name in ("dust_settles_minutes", "shortest_piece_minutes"):
        if not 0 <= getattr(workshop, name) <= DAY_MINUTES:
            raise BadInput("give minutes from 0 to 1440", within(where, name))
    _no_twins((person.name for person in workshop.people), "person", where)
    _no_twins((space.name for space in workshop.spaces), "space", where)
    for number, person in enumerate(workshop.people, 1):
        _check_person(person, place_of(within(where, "people"), number, person.name))
    for number, space in enumerate(workshop.spaces, 1):
        _check_space(space, place_of(within(where, "spaces"), number, space.name))


def check_fits(project: Project, workshop: Workshop, where: str = "") -> None:
    """Refuse a project whose batches stand in spaces its workshop does not have.

    Raises:
        BadInput: the space is unknown; the nearest one is offered.
    """
    spaces = [space.name for space in workshop.spaces]
    for number, batch in enumerate(project.batches, 1):
        if batch.space not in spaces:
            near = did_you_mean(batch.space, spaces) or f" (there are {', '.join(spaces)})"
            raise BadInput(
                f"workshop {workshop.name!r} has no space {batch.space[:40]!r}{near}",
                within(place_of(within(where, "batches"), number, batch.name), "space"),
            )


def _check_batch(batch: Batch, known: set[str], where: str) -> None:
    clean_text(batch.name, within(where, "name"))
    if "/" in batch.name:
        raise BadInput("a batch's name holds no slash: take another letter", within(where, "name"))
    for name in batch.parts:
        if name not in known:
            raise BadInput(
                f"there is no part {name[:40]!r}{did_you_mean(name, known)}", within(where, "parts")
            )
    if len(set(batch.parts)) != len(batch.parts):
        raise BadInput("a part is named twice: name it once", within(where, "parts"))
    if not batch.parts:
        raise BadInput("no part is in it: name at least one", within(where, "parts"))
    if not 0 < batch.rack_share <= 100:
        raise BadInput(f"{batch.rack_share:g}: give 0.01 to 100", within(where, "rack_share"))
    if not batch.steps:
        raise BadInput("it has no steps: give a schedule or list them", within(where, "steps"))
    _no_twins((step.key for step in batch.steps), "step", where)
    for number, step in enumerate(batch.steps, 1):
        _check_step(step, place_of(within(where, "steps"), number, step.key))


def _check_step(step: Step, where: str) -> None:
    clean_text(step.key, within(where, "key"))
    clean_text(step.title, within(where, "title"))
    clean_note(step.note, within(where, "note"), LONGEST_NOTE)
    if not 0 <= step.coat <= 100:
        raise BadInput(f"coat {step.coat}: coats count from 0 to 100", within(where, "coat"))
    for name in ("minutes_fixed", "minutes_per_m2", "wait_hours"):
        if not 0 <= getattr(step, name) <= 100_000:
            raise BadInput(f"{getattr(step, name):g}: give a time from 0 up", within(where, name))


def _check_size(size_mm: float, where: str) -> None:
    if not 0 < size_mm <= LONGEST_MM:
        raise BadInput(f"{size_mm:g} mm: give a size above zero and up to 100 m", where)


def _check_hole(hole: Hole, part: Part, where: str) -> None:
    _check_size(hole.diameter_mm, within(where, "diameter_mm"))
    if not 1 <= hole.count <= 10_000:
        raise BadInput(f"{hole.count} holes: give 1 to 10000", within(where, "count"))
    if not 0 <= hole.countersink_diameter_mm <= LONGEST_MM:
        raise BadInput("give a size from zero up", within(where, "countersink_diameter_mm"))
    if not 10 <= hole.countersink_angle_deg < 180:
        raise BadInput(
            "give an angle from 10 to 179 degrees", within(where, "countersink_angle_deg")
        )
    if hole.depth_mm is not None:
        _check_size(hole.depth_mm, within(where, "depth_mm"))
    narrower = min(part.width_mm, part.length_mm)
    if max(hole.diameter_mm, hole.countersink_diameter_mm) > narrower:
        raise BadInput(f"the hole is wider than the piece ({narrower:g} mm): check it", where)


def _check_zone(zone: str, where: str) -> None:
    from zoneinfo import ZoneInfo, available_timezones

    try:
        ZoneInfo(zone)
    except (KeyError, ValueError, OSError):
        near = did_you_mean(zone, available_timezones())
        raise BadInput(
            f"{zone[:40]!r} is no time zone{near}: give one like Europe/Oslo", where
        ) from None


def _check_person(person: Person, where: str) -> None:
    clean_text(person.name, within(where, "name"))
    for number, window in enumerate(person.windows, 1):
        _check_window(window, within(where, f"windows {number}"))
    for stretch in person.busy:
        if stretch.end <= stretch.start:
            raise BadInput("it ends before it starts: swap them", within(where, "busy"))


def _check_window(window: WorkWindow, where: str) -> None:
    import datetime as dt

    from dateutil.rrule import rrulestr

    if not 1 <= window.minutes <= DAY_MINUTES:
        raise BadInput(f"{window.minutes} minutes: give 1 to 1440", within(where, "minutes"))
    try:
        rrulestr(window.rule, dtstart=dt.datetime(2000, 1, 1, tzinfo=dt.UTC))
    except (ValueError, KeyError, TypeError, AttributeError, IndexError):
        raise BadInput(
            f"{window.rule[:60]!r} is no recurring rule: write it like FREQ=WEEKLY;BYDAY=SA",
            within(where, "rule"),
        ) from None


def _check_space(space: Space, where: str) -> None:
    clean_text(space.name, within(where, "name"))
    if not 0 < space.rack_area_m2 <= 100_000:
        raise BadInput(
            f"{space.rack_area_m2:g} m²: give an area above zero", within(where, "rack_area_m2")
        )
    _check_normals(space.normals, within(where, "normals"))


def _check_normals(normals: MonthlyNormals, where: str) -> None:
    limits = {"mean_c": (-60, 80), "daily_swing_c": (0, 60), "mean_rh_percent": (0, 100)}
    for name, (lowest, highest) in limits.items():
        values = getattr(normals, name)
        if len(values) != MONTHS:
            raise BadInput(f"{len(values)} values: give twelve, January first", within(where, name))
        for value in values:
            if not lowest <= value <= highest:
                raise BadInput(
                    f"{value:g}: give values from {lowest} to {highest}", within(where, name)
                )


def _no_twins(names: Iterable[str], word: str, where: str) -> None:
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise BadInput(f"two are called {name[:40]!r}: rename one {word}", where)
        seen.add(name)
