"""Changing a finishing schedule step by step: add, take out, move, and number the coats anew.

Keys never change, since the journal knows steps by them; coat numbers and the titles that name
them follow the order.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Collection, Mapping
from dataclasses import replace

from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage
from finplan.trade.schedule_checks import STAGES_FOR
from finplan.trade.schedules import TITLES, Minutes
from finplan.trade.steps import WET_KINDS, Side, Step, StepKind, finish_near

Steps = tuple[Step, ...]

_SIDE_WORDS = re.compile(r", (first|second) side$")
_FOLLOWS_ITS_COAT = frozenset({StepKind.WIPE_OFF, StepKind.TURN})


def new_step(
    steps: Steps,
    after: str,
    kind: StepKind,
    minutes: Mapping[str, Minutes],
    taken: Collection[str] = (),
) -> Step:
    """Return a step to put behind the one called ``after``, like others of its kind.

    Args:
        steps: the schedule as it is.
        after: key of the step before it.
        kind: the kind of the new one.
        minutes: times to begin with where the schedule has no step of the kind, keyed as a
            template's.
        taken: keys that must not be used again, since the journal knows them.
    """
    at = _place(steps, after) + 1
    alike = [step for step in steps[:at] if step.kind is kind] or [
        step for step in steps if step.kind is kind
    ]
    key = _free_key(kind.value.replace(" ", "-"), {*taken, *(step.key for step in steps)})
    if alike:
        step = replace(alike[-1], key=key, side=Side.ALL, only_if_window_missed=False)
        bare = kind is StepKind.COAT
        step = replace(step, title=TITLES[kind] if bare else _SIDE_WORDS.sub("", step.title))
    else:
        usual = minutes.get(kind.value)
        step = Step(
            key,
            kind,
            TITLES[kind],
            finish=finish_near(steps, at) if kind in WET_KINDS | {StepKind.WIPE_OFF} else None,
            minutes_fixed=usual.fixed if usual else 0.0,
            minutes_per_m2=usual.per_m2 if usual else 0.0,
            waits_for=STAGES_FOR.get(kind),
        )
    return replace(step, coat=0) if kind in WET_KINDS else step


def with_step(steps: Steps, after: str, step: Step) -> Steps:
    """Return the schedule with ``step`` behind the one called ``after``."""
    at = _place(steps, after) + 1
    if step.kind is StepKind.COAT and step.waits_for is None and _coat_before(steps[:at]):
        step = replace(step, waits_for=Stage.DRY_TO_RECOAT)
    return renumbered((*steps[:at], step, *steps[at:]))


def with_coat_again(steps: Steps, taken: Collection[str] = ()) -> Steps:
    """Return the schedule with its last coat once more, with all that belongs to it.

    Raises:
        BadInput: there is no coat yet.
    """
    last = max((step.coat for step in steps if step.kind is StepKind.COAT), default=0)
    own = [step for step in steps if step.coat == last and last]
    if not own:
        raise BadInput("there is no coat yet to be done again: add one by itself")
    if last == 1:
        own = [*_dusting_before(steps, own[0].key), *own]
    used = {*taken, *(step.key for step in steps)}
    again: list[Step] = []
    for step in own:
        key = _free_key(re.sub(r"\d+", str(last + 1), step.key), used)
        used.add(key)
        waits = step.waits_for
        if step.kind is StepKind.COAT and step.side is not Side.SECOND and waits is None:
            waits = Stage.DRY_TO_RECOAT
        titled = _retitled(step.title, last, last + 1)
        if step.coat == 0:
            titled, waits = f"{titled} before coat {last + 1}", Stage.TACK_FREE
        again.append(replace(step, key=key, title=titled, coat=last + 1, waits_for=waits))
    at = _place(steps, own[-1].key) + 1
    return renumbered((*steps[:at], *again, *steps[at:]))


def belonging(steps: Steps, key: str) -> tuple[str, ...]:
    """Return the keys that go with a step: of a coat all that is done for it, else itself."""
    step = steps[_place(steps, key)]
    if step.kind is not StepKind.COAT:
        return (key,)
    return tuple(one.key for one in steps if one.coat == step.coat)


def without_step(steps: Steps, key: str) -> Steps:
    """Return the schedule without a step; a coat takes along all that is done for it."""
    gone = belonging(steps, key)
    return renumbered(tuple(step for step in steps if step.key not in gone))


def moved_step(steps: Steps, key: str, by: int) -> Steps:
    """Return the schedule with a step one place earlier (-1) or later (1).

    A wet step and the wiping off behind it move as one, and are passed as one.

    Raises:
        BadInput: it is the first or the last already, or wiping off that belongs to its coat.
    """
    blocks = _blocks(steps)
    at = next(n for n, block in enumerate(blocks) if any(step.key == key for step in block))
    if blocks[at][0].key != key:
        raise BadInput(f"{steps[_place(steps, key)].title}: it goes with its coat; move that")
    to = at + by
    if not 0 <= to < len(blocks):
        raise BadInput(f"{blocks[at][0].title}: it is the {'first' if by < 0 else 'last'} already")
    blocks[at], blocks[to] = blocks[to], blocks[at]
    return renumbered(tuple(itertools.chain.from_iterable(blocks)))


def renumbered(steps: Steps) -> Steps:
    """Return the steps with coats counted from 1 in their order, and titles that say so."""
    numbers: dict[int, int] = {}
    count = 0
    for at, step in enumerate(steps):
        if step.kind is StepKind.COAT:
            count += step.side is not Side.SECOND
            numbers[at] = count
    made: list[Step] = []
    before = 0
    for at, step in enumerate(steps):
        before = numbers.get(at, before)
        number = before
        if step.kind is not StepKind.COAT:
            following = next((numbers[n] for n in range(at, len(steps)) if n in numbers), before)
            number = before if step.kind in _FOLLOWS_ITS_COAT else following
            if step.coat == 0:
                number = 0
        made.append(replace(step, coat=number, title=_retitled(step.title, step.coat, number)))
    return tuple(made)


def _retitled(title: str, old: int, new: int) -> str:
    """Return a title with its coat's number changed; a new coat's bare title gets its number."""
    if old == 0:
        return f"{title} {new}" if title == TITLES[StepKind.COAT] and new else title
    return re.sub(rf"\b(coat ){old}\b", rf"\g<1>{new}", title, flags=re.IGNORECASE)


def _blocks(steps: Steps) -> list[list[Step]]:
    blocks: list[list[Step]] = []
    for step in steps:
        if step.kind is StepKind.WIPE_OFF and blocks and blocks[-1][-1].kind in WET_KINDS:
            blocks[-1].append(step)
        else:
            blocks.append([step])
    return blocks


def _place(steps: Steps, key: str) -> int:
    for at, step in enumerate(steps):
        if step.key == key:
            return at
    raise BadInput("the step is not in the finishing schedule any more: look at it again", key)


def _dusting_before(steps: Steps, key: str) -> Steps:
    """Return the last dusting off before a step, which the first coat does not count as its own."""
    before = [s for s in steps[: _place(steps, key)] if s.kind is StepKind.CLEAN and s.coat == 0]
    return tuple(before[-1:])


def _coat_before(steps: Steps) -> bool:
    return any(step.kind is StepKind.COAT for step in steps)


def _free_key(wanted: str, taken: Collection[str]) -> str:
    """Return the wanted key, or with a number behind it the first that is free."""
    if wanted not in taken:
        return wanted
    return next(key for n in itertools.count(2) if (key := f"{wanted}-{n}") not in taken)
