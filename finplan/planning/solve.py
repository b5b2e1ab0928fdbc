"""What runs in the child process: solve the model stage by stage, send what is found."""

from __future__ import annotations

import math
import time
from collections.abc import Callable

from ortools.sat.python import cp_model

from finplan.planning.flat import Task, Tasks
from finplan.planning.model import Builder, Model
from finplan.planning.network import Placed
from finplan.planning.search_words import Effort, Job, Layouts, Word

_LEAST_S = 0.05
_HINT_S = 2.0
_POLISH_S = 1.0
"""The second stage gets as long as the first took and this on top, if there is time."""
_ROUNDING = 1e-6


def solve(job: Job, tell: Callable[[Word], None]) -> None:
    """Solve a job, telling every better layout as it is found.

    First the last ready time is made as early as it goes; then, with that kept, the sum of ready
    times and the starts of all work.
    """
    begun = time.monotonic()
    model = Builder(job.network, job.tasks, len(job.network.axis), job.most_s).build()
    _hint(model, job.tasks, job.hint)
    model.cp.minimize(model.last_ready)
    _complete_hint(model, job.effort)
    teller = _Teller(model, job.tasks, tell)
    status, bound = _run(model, job.effort, job.effort.seconds, teller)
    proved = status == cp_model.OPTIMAL
    tell(Word(None, bound, proved))
    spent = time.monotonic() - begun
    left = min(job.effort.seconds - spent, _POLISH_S + spent)
    if teller.layout and left > _LEAST_S:
        model.cp.clear_hints()  # type: ignore[no-untyped-call]
        _hint(model, job.tasks, teller.layout)
        model.cp.add(model.last_ready <= teller.ready)
        first = [own[0] for own in model.starts.values()]
        heavy = len(first) * len(job.network.axis) + 1
        model.cp.minimize(heavy * sum(model.ready) + sum(first))
        _run(model, job.effort, left, teller)
    tell(Word(None, bound, proved, closed=True))


def _complete_hint(model: Model, effort: Effort) -> None:
    """Let the solver work out what the hinted layout means for every other variable.

    A layout the model cannot express (work moved by a minute against its grid) stays a hint in
    part; the search then finds its own first plan.
    """
    solver = cp_model.CpSolver()
    solver.parameters.fix_variables_to_their_hinted_value = True
    solver.parameters.num_workers = 1
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.max_time_in_seconds = min(_HINT_S, effort.seconds / 4)
    if solver.solve(model.cp) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return
    model.cp.clear_hints()  # type: ignore[no-untyped-call]
    for index in range(len(model.cp.proto.variables)):
        variable = model.cp.get_int_var_from_proto_index(index)
        model.cp.add_hint(variable, solver.value(variable))


def _run(
    model: Model, effort: Effort, seconds: float, teller: _Teller
) -> tuple[cp_model.CpSolverStatus, int]:
    """One stage; how it ended, and its bound as a whole number."""
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = effort.workers
    solver.parameters.random_seed = effort.seed
    # One round of presolve: more of it costs seconds and finds next to nothing in these models.
    solver.parameters.max_presolve_iterations = 1
    solver.parameters.cp_model_probing_level = 1
    solver.parameters.symmetry_level = 0
    status = solver.solve(model.cp, teller)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.UNKNOWN):
        return status, 0
    return status, math.ceil(solver.best_objective_bound - _ROUNDING)


class _Teller(cp_model.CpSolverSolutionCallback):
    def __init__(self, model: Model, tasks: Tasks, tell: Callable[[Word], None]) -> None:
        super().__init__()
        self._model = model
        self._tasks = tasks
        self._tell = tell
        self.layout: Layouts = {}
        self.ready = 0

    def on_solution_callback(self) -> None:
        """Read the layout and tell it."""
        self.layout = {}
        for task in self._tasks.tasks:
            present = self._model.present[task.node]
            if present is not None and not self.boolean_value(present):
                continue
            starts = [self.value(start) for start in self._model.starts[task.node]]
            slots = starts if task.split else range(starts[0], starts[0] + task.slots)
            person = next(
                who for who, does in self._model.who[task.node].items() if self.boolean_value(does)
            )
            self.layout[task.node] = Placed(tuple(slots), person)
        self.ready = self.value(self._model.last_ready)
        self._tell(Word(self.layout))


def _first(task: Task) -> list[int]:
    """The earliest slots of work that does not come in, only to have values to hint."""
    return sorted({slot for slots in task.starts.values() for slot in slots})[: task.slots]


def _hint(model: Model, tasks: Tasks, hint: Layouts) -> None:
    for task in tasks.tasks:
        present = model.present[task.node]
        place = hint.get(task.node)
        if present is not None:
            model.cp.add_hint(present, place is not None)
        if place is None:
            for start, slots in zip(model.starts[task.node], _first(task), strict=False):
                model.cp.add_hint(start, slots)
            for does in model.who[task.node].values():
                model.cp.add_hint(does, 0)
            continue
        for start, slot in zip(model.starts[task.node], place.slots, strict=False):
            model.cp.add_hint(start, slot)
        for person, does in model.who[task.node].items():
            model.cp.add_hint(does, person == place.person)
