"""Work sessions: hands-on steps of a project that follow one another, as one reminder each."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from finplan.planning.plan import PlannedStep
from finplan.tracking.reminder import GOVERNS, Reminder, Role
from finplan.tracking.scene import Scene
from finplan.tracking.wording import (
    amount_words,
    clock_words,
    length_words,
    whole_minute_down,
    whole_minute_up,
)
from finplan.trade.finishes import Chemistry
from finplan.trade.moments import short_moment
from finplan.trade.quantities import format_area
from finplan.trade.steps import WAITING_KINDS

RAGS_LIE = dt.timedelta(minutes=30)
"""How long the reminder of oily rags stands: they heat up within hours (our choice)."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One stretch of hands-on work: a whole step, or a part of one that is split."""

    step: PlannedStep
    number: int
    start: dt.datetime
    end: dt.datetime


@dataclass(frozen=True, slots=True)
class Session:
    """Pieces of one project by one person with no long pause between, earliest first."""

    pieces: tuple[Piece, ...]

    @property
    def key(self) -> str:
        """Stable while the session holds the same first step of the schedule, done or not."""
        first = min(self.pieces, key=lambda piece: (piece.step.id, piece.number))
        return (
            f"{first.step.batch}/{first.step.load}/{first.step.step}"
            f"{f'/part-{first.number}' if first.number > 1 else ''}"
        )

    @property
    def to_do(self) -> tuple[Piece, ...]:
        """The pieces whose step is not done."""
        return tuple(piece for piece in self.pieces if not piece.step.done)


def sessions_of(scene: Scene) -> Iterator[Session]:
    """Yield the sessions of a plan, also those done wholly or in part."""
    work: dict[tuple[str, str], list[Piece]] = {}
    people = [person.name for person in scene.request.workshop.people]
    first = next(iter(people), "")
    for step in scene.plan.steps:
        if step.kind not in WAITING_KINDS:
            # The journal may not say who did a step: it then counts as the first person's.
            person = step.person if step.person in people else first
            pieces = [Piece(step, n, start, end) for n, (start, end) in enumerate(step.pieces, 1)]
            work.setdefault((step.project, person), []).extend(pieces)
    pause = dt.timedelta(minutes=scene.settings.session_gap_minutes)
    for pieces in work.values():
        pieces.sort(key=lambda piece: (piece.start, piece.end, piece.step.id))
        session = [pieces[0]]
        ends = pieces[0].end
        for piece in pieces[1:]:
            if piece.start > ends + pause:
                yield Session(tuple(session))
                session = []
            session.append(piece)
            ends = max(ends, piece.end)
        yield Session(tuple(session))


def session_reminders(scene: Scene) -> Iterator[Reminder]:
    """Yield a reminder for each session with work left, and one for its oily rags.

    The rags are told of when the work is recorded as done, too: then they lie there.
    """
    for session in sessions_of(scene):
        if session.to_do:
            yield _session_reminder(scene, session)
        oily = [piece for piece in session.pieces if _leaves_oily_rags(scene, piece.step)]
        if oily:
            yield _rags(scene, session, oily)


def _session_reminder(scene: Scene, session: Session) -> Reminder:
    pieces = session.to_do
    first = pieces[0].step
    project = scene.projects[first.project]
    start, end = pieces[0].start, max(piece.end for piece in pieces)
    minutes = sum((piece.end - piece.start).total_seconds() for piece in pieces) / 60
    titles = list(dict.fromkeys(piece.step.title for piece in pieces))
    shown = " · ".join(titles[:3]) + (f" and {len(titles) - 3} more" if len(titles) > 3 else "")
    under_way = len(pieces) < len(session.pieces)
    lead = dt.timedelta(minutes=scene.settings.session_lead_minutes)
    return Reminder(
        key=f"session/{session.key}",
        role=Role.SESSION,
        project=first.project,
        project_uid=project.uid,
        title=f"{project.title}: {shown} ({length_words(minutes)})",
        text="\n".join([*_session_lines(scene, pieces), "", GOVERNS]),
        start=whole_minute_down(start),
        end=whole_minute_up(end),
        # Work that has begun needs no call to begin.
        alarm_at=None if under_way else scene.rung_at(Role.SESSION, start - lead, end),
        steps=tuple(dict.fromkeys(piece.step.id for piece in pieces)),
        busy=True,
    )


def _session_lines(scene: Scene, pieces: tuple[Piece, ...]) -> Iterator[str]:
    cautions: dict[str, None] = {}
    for piece in pieces:
        yield _piece_line(scene, piece)
        wait = piece.step.waits_for
        if wait is not None:
            yield (
                f"  waits for {wait.stage.value}: likely {short_moment(wait.likely, scene.zone)}, "
                f"safe {short_moment(wait.safe, scene.zone)}"
            )
        cautions |= dict.fromkeys(scene.cautions_at(piece.step))
    if cautions:
        yield ""
        yield "Mind:"
        yield from (f"- {caution}" for caution in cautions)


def about_step(scene: Scene, planned: PlannedStep) -> list[str]:
    """Return what is worked on and with what: batch, finish, amount, grits, method, area."""
    step = scene.step_of(planned)
    about = [planned.batch + (f" load {planned.load}" if planned.loads > 1 else "")]
    finish = scene.finish_of(planned)
    if finish is not None:
        about.append(finish.title)
    if planned.id in scene.notes.litres:
        about.append(amount_words(scene.notes.litres[planned.id], scene.request.units))
    if step.grits:
        about.append(", ".join(step.grits))
    if step.method:
        about.append(step.method)
    about.append(format_area(planned.area_m2, scene.request.units))
    return about


def _piece_line(scene: Scene, piece: Piece) -> str:
    planned = piece.step
    about = about_step(scene, planned)
    about.append(length_words((piece.end - piece.start).total_seconds() / 60))
    if len(planned.pieces) > 1:
        about.append(f"part {piece.number} of {len(planned.pieces)}")
    return f"{clock_words(piece.start, scene.zone)} {planned.title}: {'; '.join(about)}"


def _rags(scene: Scene, session: Session, oily: list[Piece]) -> Reminder:
    project = scene.projects[oily[0].step.project]
    over = whole_minute_up(max(piece.end for piece in session.pieces))
    return Reminder(
        key=f"rags/{session.key}",
        role=Role.RAGS,
        project=project.name,
        project_uid=project.uid,
        title=f"{project.title}: oily rags out of the shop",
        text="\n".join(
            [
                "Rags, paper and pads wet with a drying oil heat up by themselves and can burn.",
                "Drown them in water in a closed metal can, or lay each one flat outdoors to dry.",
                "Dust from sanding a fresh oil finish is no safer: empty the bag outdoors.",
                "",
                GOVERNS,
            ]
        ),
        start=over,
        end=over + RAGS_LIE,
        alarm_at=over,
        steps=tuple(dict.fromkeys(piece.step.id for piece in oily)),
    )


def _leaves_oily_rags(scene: Scene, planned: PlannedStep) -> bool:
    """Oxidative finishes self-heat on cloth (Wood Handbook, FPL-GTR-190, chapter 16)."""
    finish = scene.finish_of(planned)
    return finish is not None and finish.chemistry is Chemistry.OXIDATIVE
