"""What runs in the child process where no layout is known yet: find one, or prove there is none."""

from __future__ import annotations

from ortools.sat.python import cp_model

from finplan.planning.flat import Tasks
from finplan.planning.model import Builder
from finplan.planning.search_words import Layouts, Word
from finplan.planning.solving import Teller


def any_layout(tasks: Tasks, most_s: int, seconds: float, seed: int) -> Layouts:
    """The first layout the solver meets; empty if there is none or time runs out.

    Args:
        tasks: the work of a network.
        most_s: the instant by which everything is ready.
        seconds: how long to look.
        seed: fixes the search's chance.
    """
    network = tasks.network
    model = Builder(network, tasks, len(network.axis), most_s).build()
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed
    found: list[Word] = []
    solver.solve(model.cp, Teller(model, tasks, found.append))
    return found[-1].layout or {} if found else {}
