"""What runs in the child process: solve the model stage by stage, send what is found."""

from __future__ import annotations

import math
import time
from collections.abc import Callable

from ortools.sat.python import cp_model

from finplan.planning.bound import alone, most_urgent
from finplan.planning.flat import flatten, solved_whole
from finplan.planning.model import Builder, Model
from finplan.planning.neighbours import better_by_pieces
from finplan.planning.search_words import Effort, Job, Layouts, Word
from finplan.planning.shop import Shop
from finplan.planning.solving import Teller, hint_layout

_LEAST_S = 0.05
_WHOLE_SHARE = 0.95
_HINT_S = 2.0
_FEW_TASKS, _FEW_SHARE = 95, 0.2
"""Of a large network, the most urgent loads up to so many pieces of work are solved for a bound."""
_WORKERS_THAT_SHARE = 2
_ROUNDING = 1e-6


def solve(job: Job, tell: Callable[[Word], None]) -> None:
    """Solve a job, telling every better layout as it is found.

    A small network is solved as a whole, and bettered a few loads at a time if no proof comes in
    its share of the time; a large one only that way, with a bound from its most urgent loads.
    """
    begun = time.monotonic()
    best, bound, proved, settled = job.hint, 0, False, False
    if solved_whole(job.network):
        best, bound, proved, settled = _whole(job, tell)
    else:
        bound = _bound_of_few(job)
        tell(Word(None, bound))
    left = job.effort.seconds - (time.monotonic() - begun)
    if not proved and left > _LEAST_S:
        better_by_pieces(job, best, left, tell)
    tell(Word(None, bound, closed=True, settled=settled))


def _whole(job: Job, tell: Callable[[Word], None]) -> tuple[Layouts, int, bool, bool]:
    """The best layout of the whole, the bound in quarter hours, whether proved, whether settled.

    First the last ready time is made as early as it goes; then, of several projects, with that kept
    the sum of ready times and the starts of all work. (Of one it was never found to change.)
    """
    begun = time.monotonic()
    early = alone(job.network)
    tasks = flatten(job.network, early, job.most_s, job.now_s, kept=job.kept)
    if tasks is None:
        return job.hint, 0, False, False
    model = Builder(job.network, tasks, len(job.network.axis), job.most_s).build()
    hint_layout(model, tasks, job.hint)
    model.cp.minimize(model.last_ready)
    _complete_hint(model, job.effort)
    teller = Teller(model, tasks, tell)
    share = _WHOLE_SHARE * job.effort.seconds - (time.monotonic() - begun)
    status, bound = _run(model, job.effort, max(_LEAST_S, share), teller)
    proved = settled = status == cp_model.OPTIMAL
    tell(Word(None, bound))
    left = job.effort.seconds - (time.monotonic() - begun)
    if proved and len(job.network.finals) > 1:
        model.cp.clear_hints()  # type: ignore[no-untyped-call]
        hint_layout(model, tasks, teller.layout)
        model.cp.add(model.last_ready <= teller.ready)
        first = [own[0] for own in model.starts.values()]
        heavy = len(first) * len(job.network.axis) + 1
        model.cp.minimize(heavy * sum(model.ready) + sum(first))
        settled = _run(model, job.effort, max(_LEAST_S, left), teller)[0] == cp_model.OPTIMAL
    return teller.layout or job.hint, bound, proved, settled


def _bound_of_few(job: Job) -> int:
    """A bound in quarter hours: how soon the most urgent loads can be ready with no other there.

    All others are left out, so no plan can be earlier; but hours, rack, and dust against wet count
    for those that stay.
    """
    begun = time.monotonic()
    network, early = job.network, alone(job.network)
    few = most_urgent(network, early, _FEW_TASKS)
    tasks = flatten(
        network, early, job.most_s, job.now_s, kept=job.kept, shop=Shop(network), free=few
    )
    if tasks is None or not tasks.tasks:
        return 0
    model = Builder(network, tasks, len(network.axis), job.most_s).build()
    hint_layout(model, tasks, job.hint)
    model.cp.minimize(model.last_ready)
    share = _FEW_SHARE * job.effort.seconds - (time.monotonic() - begun)
    return _run(model, job.effort, max(_LEAST_S, share), None)[1]


def _complete_hint(model: Model, effort: Effort) -> None:
    """Let the solver work out what the hinted layout means for every other variable.

    A layout the model cannot express (work moved by a minute against its grid) stays a hint in
    part; the search then finds its own first plan.
    """
    solver = cp_model.CpSolver()
    solver.parameters.fix_variables_to_their_hinted_value = True
    solver.parameters.num_workers = 1
    solver.parameters.cp_model_presolve = False
    solver.parameters.max_time_in_seconds = min(_HINT_S, effort.seconds / 4)
    if solver.solve(model.cp) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return
    model.cp.clear_hints()  # type: ignore[no-untyped-call]
    for index in range(len(model.cp.proto.variables)):
        variable = model.cp.get_int_var_from_proto_index(index)
        model.cp.add_hint(variable, solver.value(variable))


def _run(
    model: Model, effort: Effort, seconds: float, teller: Teller | None
) -> tuple[cp_model.CpSolverStatus, int]:
    """One stage; how it ended, and its bound as a whole number."""
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = effort.workers
    solver.parameters.random_seed = effort.seed
    # No presolve: it costs a second and finds next to nothing in these models.
    solver.parameters.cp_model_presolve = False
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.symmetry_level = 0
    if effort.workers == _WORKERS_THAT_SHARE:  # one raises the bound, the other looks for plans
        solver.parameters.subsolvers.extend(["core", "no_lp"])
    status = solver.solve(model.cp, teller)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.UNKNOWN):
        return status, 0
    return status, math.ceil(solver.best_objective_bound - _ROUNDING)
