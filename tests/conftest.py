"""No test may read or write what belongs to the person who runs it."""

from __future__ import annotations

import pytest


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
