"""Layouts into a model as a hint, and out of its solutions."""

from __future__ import annotations

from collections.abc import Callable

from ortools.sat.python import cp_model

from finplan.planning.flat import Task, Tasks
from finplan.planning.model import Model
from finplan.planning.network import Placed
from finplan.planning.search_words import Layouts, Word


class Teller(cp_model.CpSolverSolutionCallback):
    """Reads each layout the solver finds and tells it."""

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


def hint_layout(model: Model, tasks: Tasks, hint: Layouts) -> None:
    """Give the model a layout to start from."""
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
