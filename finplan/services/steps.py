"""Find the step a person means: by id, by path, or in words."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from finplan.planning.plan import PlannedStep
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from finplan.journal.progress import Progress
    from finplan.trade.project import Batch, Project
    from finplan.trade.steps import Step

_MOST_SHOWN = 6


def find_step(
    steps: Sequence[PlannedStep], text: str, project: str, *, to_do: bool = False
) -> PlannedStep:
    """Return the one step of a project that ``text`` means.

    Understood are the planned id, ``batch/load/step``, ``batch/step``, ``step``, and words that
    together fit a single step ("coat 2", "slats load 1 coat 2", "sand P180"). Where words fit
    several steps, one that stands alone among those not done yet is taken.

    Args:
        steps: the project's planned steps.
        text: what the person wrote.
        project: the project's name, for the message.
        to_do: it is a step about to be recorded, so of several of one load the next is taken.

    Raises:
        BadInput: nothing fits, or several do; both name candidates.
    """
    wanted = text.strip()
    if not wanted:
        raise BadInput(f"no step given: name one, such as {_names(steps)}", project)
    for fits in _ways(wanted):
        found = [step for step in steps if fits(step)]
        if len(found) > 1:
            found = [step for step in found if not step.done] or found
            found = _next_of_one_load(found) if to_do else found
        if len(found) == 1:
            return found[0]
        if found:
            raise BadInput(f"{wanted[:60]!r} may mean {_names(found)}: name one of them", project)
    raise BadInput(f"no step {wanted[:60]!r}: there are {_names(steps)}", project)


def undated_steps(project: Project, facts: Progress, now: dt.datetime) -> tuple[PlannedStep, ...]:
    """Return a project's steps without dates, for recording where no plan is possible.

    Loads are those the batch was cut into when its first step was recorded, one before that.
    """
    return tuple(
        _undated(project.name, batch, load, step, facts, now)
        for batch in project.batches
        for load in range(1, facts.loads.get(batch.name, 1) + 1)
        for step in batch.steps
    )


def _undated(
    project: str, batch: Batch, load: int, step: Step, facts: Progress, now: dt.datetime
) -> PlannedStep:
    done = facts.done.get((batch.name, load, step.key))
    start, end = (done.started, done.ended) if done else (now, now)
    return PlannedStep(
        id=f"{project}/{batch.name}/{load}/{step.key}",
        project=project,
        batch=batch.name,
        load=load,
        loads=facts.loads.get(batch.name, 1),
        step=step.key,
        kind=step.kind,
        coat=step.coat,
        side=step.side,
        title=step.title,
        start=start,
        end=end,
        pieces=((start, end),),
        person="",
        space=batch.space,
        area_m2=0.0,
        minutes=0.0,
        waits_for=None,
        window_closes=None,
        reason="",
        done=done is not None,
    )


def short_id(step: PlannedStep) -> str:
    """Return a step's id without the project: ``batch/load/step``."""
    return f"{step.batch}/{step.load}/{step.step}"


def _ways(wanted: str) -> list[Callable[[PlannedStep], bool]]:
    """The readings of a text, the strictest first."""
    words = _words(wanted)
    load = _load_in(words)
    rest = [word for word in words if not word.startswith("load:")]

    def at_load(step: PlannedStep) -> bool:
        return load is None or step.load == load

    return [
        lambda step: step.id == wanted,
        lambda step: short_id(step) == wanted,
        lambda step: wanted in (f"{step.batch}/{step.step}", step.step),
        lambda step: at_load(step) and rest == _words(step.step),
        lambda step: at_load(step) and rest in (_kind_words(step), _words(step.title)),
        lambda step: at_load(step) and rest == _words(f"{step.batch} {step.step}"),
        lambda step: bool(words) and at_load(step) and set(rest) <= _all_words(step),
    ]


def _next_of_one_load(steps: list[PlannedStep]) -> list[PlannedStep]:
    """Return the first of steps to do in one load alone; those of several, or done, as they are."""
    one_load = len({(step.batch, step.load) for step in steps}) == 1
    return steps[:1] if one_load and not steps[0].done else steps


def _words(text: str) -> list[str]:
    folded = re.sub(r"\bload\s*(\d+)\b", r"load:\1", text.casefold())
    return re.findall(r"load:\d+|[^\W_]+", folded)


def _load_in(words: Sequence[str]) -> int | None:
    loads = [int(word.removeprefix("load:")) for word in words if word.startswith("load:")]
    return loads[0] if loads else None


def _kind_words(step: PlannedStep) -> list[str]:
    return _words(f"{step.kind.value} {step.coat}" if step.coat else step.kind.value)


def _all_words(step: PlannedStep) -> set[str]:
    return {*_words(f"{step.batch} {step.step} {step.title} {step.side.value}"), *_kind_words(step)}


def _names(steps: Sequence[PlannedStep]) -> str:
    if not steps:
        return "none"
    names = [short_id(step) for step in steps[:_MOST_SHOWN]]
    more = len(steps) - len(names)
    return ", ".join(names) + (f" and {more} more" if more > 0 else "")
