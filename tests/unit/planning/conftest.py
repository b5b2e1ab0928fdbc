"""What several tests of the planner need."""

from __future__ import annotations

import pytest


@pytest.fixture
def hurried(monkeypatch):
    """A function that lets only so many plans be made for one answer."""

    def only(plans):
        monkeypatch.setattr("finplan.planning.obstacles._PLANNED_IN_ALL", 0)
        monkeypatch.setattr("finplan.planning.obstacles._LEAST_PLANS", plans)

    return only
