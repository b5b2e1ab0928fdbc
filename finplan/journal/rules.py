"""What may be recorded: every refusal is one sentence that says what to do instead."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from functools import partial

from finplan.journal.details import check_details
from finplan.journal.entries import Entry, EntryKind
from finplan.journal.fold import progress, recorded_itself
from finplan.journal.progress import Progress
from finplan.journal.standing import WORDS_ABOUT_ENTRIES, in_order, standing_entries, undone_uids
from finplan.trade.errors import BadInput
from finplan.trade.moments import say_moment
from finplan.trade.names import nearest
from finplan.trade.project import Batch, Project
from finplan.trade.steps import WET_KINDS, Step, cut_at_joining

_ABOUT_A_STEP = frozenset(
    {
        EntryKind.STEP_DONE,
        EntryKind.STEP_SKIPPED,
        EntryKind.STEP_REPEAT,
        EntryKind.DRYNESS_CHECK,
        EntryKind.WISH,
    }
)
_ABOUT_AN_ENTRY = WORDS_ABOUT_ENTRIES | {EntryKind.CORRECTION}


Say = Callable[[dt.datetime], str]
"""Writes an instant for people."""


def check_entry(
    entry: Entry, project: Project, entries: Iterable[Entry], now: dt.datetime, zone: str
) -> None:
    """Refuse an entry that cannot be so, given the journal written before it.

    Args:
        entry: what is to be recorded.
        project: the project it is about.
        entries: the project's journal so far, in any order.
        now: the present instant, timezone-aware.
        zone: IANA name of the time zone that refusals tell times in.

    Raises:
        BadInput: one sentence naming the fault, where it is, and what to do.
    """
    say = partial(say_moment, zone=zone)
    journal = in_order(entries)
    _check_times(entry, now, say)
    check_details(entry)
    if entry.project != project.name:
        raise BadInput(f"the entry is for {entry.project!r}: record it there", project.name)
    if entry.kind in _ABOUT_AN_ENTRY:
        _check_about(entry, journal)
    if entry.kind in _ABOUT_A_STEP:
        batch = known_batch(project, entry.batch)
        step = known_step(batch, entry.step)
        facts = progress(journal, project)
        _check_load(entry, facts)
        _check_step(entry, step, facts, now, say)
    if entry.kind is EntryKind.PARTS_SPOILED:
        _check_spoiled(entry, project, progress(journal, project))
    _check_result(entry, project, journal, now, say)


def known_batch(project: Project, name: str) -> Batch:
    """Return the batch of that name, or refuse and name the nearest there is."""
    for batch in project.batches:
        if batch.name == name:
            return batch
    names = [batch.name for batch in project.batches]
    raise BadInput(f"there is no batch {name!r}{_nearest(name, names)}", project.name)


def known_step(batch: Batch, key: str) -> Step:
    """Return the step of that key, or refuse and name the nearest there is."""
    for step in batch.steps:
        if step.key == key:
            return step
    keys = [step.key for step in batch.steps]
    raise BadInput(f"there is no step {key!r}{_nearest(key, keys)}", f"batch {batch.name}")


def _nearest(wrong: str, known: list[str]) -> str:
    near = nearest(wrong, known)
    if near is not None:
        return f": did you mean {near!r}?"
    return f": give one of {', '.join(known)}" if known else ": none is defined yet, add one first"


def _check_times(entry: Entry, now: dt.datetime, say: Say) -> None:
    for word, moment in (("at", entry.at), ("recorded at", entry.recorded_at)):
        if moment.tzinfo is None:
            raise BadInput(f"{moment.isoformat()} has no time zone: give one, or Z for UTC", word)
    if entry.at > now:
        raise BadInput(
            f"{say(entry.at)} is in the future (now is {say(now)}): record what happened, wish for "
            "what is to come",
            "at",
        )


def _check_about(entry: Entry, journal: tuple[Entry, ...]) -> None:
    word = entry.kind.value
    target = next((other for other in journal if other.uid == entry.about), None)
    if target is None:
        raise BadInput(f"nothing to {_verb(entry)}: the journal has no such entry", word)
    if target.kind in WORDS_ABOUT_ENTRIES:
        raise BadInput(f"an {target.kind.value} can't be taken back itself: name the entry", word)
    undone = target.uid in undone_uids(journal)
    if entry.kind is EntryKind.REDO and not undone:
        raise BadInput("that entry counts already: there is nothing to redo", word)
    if entry.kind is not EntryKind.REDO and undone:
        raise BadInput("that entry is undone already: redo it first, or name another", word)
    if entry.kind is EntryKind.CORRECTION and target.kind is EntryKind.CORRECTION:
        raise BadInput("a correction is corrected by undoing it: undo, then correct anew", word)


def _verb(entry: Entry) -> str:
    return "correct" if entry.kind is EntryKind.CORRECTION else entry.kind.value


def _check_load(entry: Entry, facts: Progress) -> None:
    loads = facts.loads.get(entry.batch)
    where = f"batch {entry.batch}"
    if entry.load < 1:
        raise BadInput(f"load {entry.load}: loads count from 1", where)
    if loads and entry.loads and entry.loads != loads:
        raise BadInput(
            f"it was cut into {loads} loads when its first step was recorded, not {entry.loads}: "
            "undo that first to cut it anew",
            where,
        )
    limit = loads or entry.loads
    if limit and entry.load > limit:
        raise BadInput(f"there is no load {entry.load}: give 1 to {limit}", where)


def _check_step(entry: Entry, step: Step, facts: Progress, now: dt.datetime, say: Say) -> None:
    key = (entry.batch, entry.load, entry.step)
    fact = facts.done.get(key)
    where = step_name(entry)
    own = fact is not None and recorded_itself(fact, key)
    if entry.kind in (EntryKind.STEP_DONE, EntryKind.STEP_SKIPPED) and fact is not None and own:
        word = "skipped" if fact.skipped else "done"
        raise BadInput(
            f"is recorded as {word} already ({say(fact.ended)}): undo or correct that, or "
            " record that it is to be repeated",
            where,
        )
    if entry.kind is EntryKind.STEP_REPEAT and (fact is None or fact.skipped):
        raise BadInput("is not done yet, so it can't be repeated: record it as done", where)
    if entry.kind is EntryKind.WISH:
        _check_wish(entry, fact is not None, now, say)
    if entry.kind is EntryKind.DRYNESS_CHECK:
        if step.kind not in WET_KINDS:
            raise BadInput("leaves no wet surface to check: name a coat or a seal step", where)
        if fact is None or fact.skipped:
            raise BadInput("is not recorded as done: record the coat before its check", where)
        if entry.at < fact.ended:
            raise BadInput("the check is before the coat went on: look at the two times", where)


def _check_wish(entry: Entry, done: bool, now: dt.datetime, say: Say) -> None:
    start = entry.details.get("start")
    if done:
        raise BadInput("is done: a wish can only move what is to come", step_name(entry))
    if isinstance(start, str) and (wished := dt.datetime.fromisoformat(start)) < now:
        raise BadInput(f"{say(wished)} is past: wish for an hour to come", step_name(entry))


def _check_spoiled(entry: Entry, project: Project, facts: Progress) -> None:
    name = str(entry.details["part"])
    parts = {part.name: part.quantity for part in project.parts}
    if name not in parts:
        raise BadInput(f"there is no part {name!r}{_nearest(name, list(parts))}", project.name)
    left = parts[name] - facts.spoiled.get(name, 0)
    if int(str(entry.details["quantity"])) > left:
        raise BadInput(f"only {left} are left: give at most that many", f"part {name}")


def _check_result(
    entry: Entry, project: Project, journal: tuple[Entry, ...], now: dt.datetime, say: Say
) -> None:
    """Refuse an entry after which the steps of a load would not follow one another."""
    after = [*(other for other in journal if other.uid != entry.uid), entry]
    for standing in standing_entries(after):
        if standing.uid == entry.about:
            _check_times(standing, now, say)
            check_details(standing)
    subject = next((other for other in journal if other.uid == entry.about), entry)
    for batch in project.batches:
        if batch.name != subject.batch:
            continue
        facts = progress(after, project)
        joined = {step.key for step in cut_at_joining(batch.steps)[1]}
        loads = {load for name, load, _ in facts.done if name == batch.name}
        for load in sorted(loads if subject.step in joined else {subject.load}):
            _check_order(batch, load, facts, say)


def _check_order(batch: Batch, load: int, facts: Progress, say: Say) -> None:
    """Refuse a load whose steps (its own, then those of the whole batch) are out of order."""
    before: tuple[Step, dt.datetime] | None = None
    apart, joined = cut_at_joining(batch.steps)
    line = [(step, (batch.name, load, step.key)) for step in apart]
    line += [(step, (batch.name, 1, step.key)) for step in joined]
    for step, key in line:
        fact = facts.done.get(key)
        if fact is None:
            continue
        where = f"batch {batch.name}, load {load}, {step.key}"
        if not recorded_itself(fact, key):
            _refuse_gap(step, fact.entry, where)
            continue
        if fact.skipped:
            continue
        if fact.started > fact.ended:
            raise BadInput("it ended before it started: look at the two times", where)
        if before is not None and fact.started < before[1]:
            raise BadInput(
                f"would begin {say(fact.started)}, before “{before[0].title}” ended "
                f"({say(before[1])}): correct one of the two times",
                where,
            )
        before = (step, fact.ended)


def _refuse_gap(step: Step, later: Entry, where: str) -> None:
    if step.kind in WET_KINDS:
        raise BadInput(
            f"is not recorded, and {later.step!r} comes after it: record it first, or as skipped",
            where,
        )


def step_name(entry: Entry) -> str:
    """Return where an entry belongs, as refusals show it."""
    return f"batch {entry.batch}, load {entry.load}, {entry.step}"
