"""Small networks of least and greatest lags: no plan is proved exactly where trying all finds none.

The instances are made here by a few stated rules; optima are found by trying every start.
"""

from __future__ import annotations

from itertools import product

import numpy as np

from finplan.planning.lags import NO_LAG, LagNetwork, schedule, tightened

ACTIVITIES = 4
INSTANCES = 60


def made(seed):
    """Four activities on one or two resources, some least lags forward, some greatest lags back."""
    chance = np.random.default_rng(seed)
    size = ACTIVITIES + 2
    durations = np.zeros(size, np.int64)
    durations[1:-1] = chance.integers(1, 5, ACTIVITIES)
    lags = np.full((size, size), NO_LAG, np.int64)
    for at in range(1, size - 1):
        lags[0, at] = 0
        lags[at, -1] = durations[at]
    for before in range(1, size - 1):
        for after in range(before + 1, size - 1):
            if chance.random() < 0.45:
                lags[before, after] = int(chance.integers(0, 6))
                if chance.random() < 0.6:
                    slack = int(chance.integers(0, 4))
                    lags[after, before] = -(lags[before, after] + slack)
    demands = np.zeros((size, 2), np.int64)
    demands[1:-1] = chance.integers(0, 4, (ACTIVITIES, 2))
    capacities = np.array(chance.integers(3, 6, 2), np.int64)
    return LagNetwork(durations, lags, demands, capacities)


def tried(network):
    """The shortest makespan of all, by trying every start; None where none will do."""
    size = len(network.durations)
    horizon = int(network.durations.sum() + np.maximum(network.lags, 0).sum())
    best = None
    starts = [0] * (size - 1)

    def fits(upto):
        for hour in range(starts[upto], starts[upto] + int(network.durations[upto])):
            running = [
                at
                for at in range(1, upto + 1)
                if starts[at] <= hour < starts[at] + network.durations[at]
            ]
            if np.any(network.demands[running].sum(axis=0) > network.capacities):
                return False
        return True

    def place(at):
        nonlocal best
        if at == size - 1:
            end = max(starts[i] + int(network.durations[i]) for i in range(1, size - 1))
            best = end if best is None else min(best, end)
            return
        low, high = 0, horizon if best is None else best - int(network.durations[at])
        for other in range(1, at):
            low = max(low, starts[other] + int(network.lags[other, at]))
            if network.lags[at, other] > NO_LAG:
                high = min(high, starts[other] - int(network.lags[at, other]))
        for start in range(low, high + 1):
            starts[at] = start
            if fits(at):
                place(at + 1)

    place(1)
    return best


def test_no_plan_is_proved_where_there_is_none_and_the_optimum_where_there_is_one():
    none, some = 0, 0
    for seed in range(INSTANCES):
        network = made(seed)
        best, answer = tried(network), schedule(network, 10.0, workers=1)
        if best is None:
            assert (answer.status, answer.makespan) == ("infeasible", None), seed
            none += 1
        else:
            assert (answer.status, answer.makespan, answer.bound) == ("optimal", best, best), seed
            some += 1
    assert none >= 10
    assert some >= 10


def three_in_a_room_for_two():
    """Three activities an hour long each that must all start within the same hour."""
    lags = np.full((5, 5), NO_LAG, np.int64)
    lags[0, 1:4] = 0
    lags[1:4, 4] = 4
    for before in (1, 2, 3):
        for after in (1, 2, 3):
            if before != after:
                lags[before, after] = -3
    durations = np.array([0, 4, 4, 4, 0], np.int64)
    demands = np.array([[0], [1], [1], [1], [0]], np.int64)
    return LagNetwork(durations, lags, demands, np.array([2], np.int64))


def test_what_the_lags_do_not_show_the_search_proves():
    network = three_in_a_room_for_two()
    assert tightened(network) is not None  # any two of them may run side by side
    assert tried_three(network) is None
    assert schedule(network, 10.0, workers=1).status == "infeasible"


def tried_three(network):
    """Whether any starts within twelve hours will do."""
    for starts in product(range(12), repeat=3):
        if max(starts) - min(starts) > 3:
            continue
        if all(sum(start <= hour < start + 4 for start in starts) <= 2 for hour in range(16)):
            return starts
    return None
