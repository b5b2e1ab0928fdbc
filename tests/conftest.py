"""No test may read or write what belongs to the person who runs it."""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, settings

# How fast a machine is says nothing about the program: no property is a matter of time. Where
# changes are judged the same examples are tried each time; by hand other ones, to find more.
settings.register_profile(
    "finplan",
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=bool(os.environ.get("CI")),
)
settings.load_profile("finplan")


@pytest.fixture(autouse=True, scope="session")
def nothing_of_the_person_s(tmp_path_factory):
    """Every usual place of data, settings and caches is an empty folder of the tests."""
    home = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch:
        for variable in ("DATA", "CONFIG", "STATE", "CACHE"):
            patch.setenv(f"XDG_{variable}_HOME", str(home / variable.lower()))
        for variable in ("DATA", "NOW", "UNITS", "ZONE", "CONFIG"):
            patch.delenv(f"FINPLAN_{variable}", raising=False)
        yield
