"""Every store test runs on SQLite and on PostgreSQL; each gets an empty place of its own."""

from __future__ import annotations

import datetime as dt
import os
import uuid

import numpy as np
import pytest

from finplan.air.series import AirSeries
from finplan.journal.entries import Entry, EntryKind
from finplan.store.store import open_store
from finplan.trade.parts import Part
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Step, StepKind
from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow

POSTGRES = os.environ.get("FINPLAN_TEST_POSTGRES", "")
NOON = dt.datetime(2026, 10, 5, 12, tzinfo=dt.UTC)


@pytest.fixture
def postgres_url():
    """The address of an empty schema on the test server, dropped afterwards."""
    if not POSTGRES:
        if os.environ.get("CI"):
            pytest.fail("FINPLAN_TEST_POSTGRES is not set: start the tests with .ci/run")
        pytest.skip("no PostgreSQL server (FINPLAN_TEST_POSTGRES; .ci/run test starts one)")
    import psycopg

    schema = f"test_{uuid.uuid4().hex}"
    with psycopg.connect(POSTGRES, autocommit=True) as connection:
        connection.execute(f"CREATE SCHEMA {schema}")
        yield f"{POSTGRES}?options=-csearch_path%3D{schema}"
        connection.execute(f"DROP SCHEMA {schema} CASCADE")


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def data(request, tmp_path):
    """Where to keep data: what people give as --data."""
    if request.param == "sqlite":
        return tmp_path / "shop" / "finplan.db"
    return request.getfixturevalue("postgres_url")


@pytest.fixture
def store(data):
    with open_store(data) as opened:
        yield opened


@pytest.fixture
def workshop():
    evenings = WorkWindow("FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR", dt.time(18, 30), 180)
    normals = MonthlyNormals((8.0,) * 12, (6.0,) * 12, (75.0,) * 12, "invented for the tests")
    return Workshop(
        "shed-by-the-lake",
        "Europe/Oslo",
        (Person("Somebody", (evenings,), can=frozenset({StepKind.SAND, StepKind.COAT})),),
        (Space("shed", 4.0, normals), Space("loft", 2.5, normals, dust_apart=True)),
    )


@pytest.fixture
def project(workshop):
    steps = (
        Step("sand-120", StepKind.SAND, "Sand", grits=("P120",), minutes_per_m2=12.5),
        Step("coat-1", StepKind.COAT, "First coat", coat=1, finish="penetrating-oil"),
    )
    return Project(
        "boathouse-bench",
        "Bench for the boathouse – 40 slats",
        workshop.name,
        (Part("slat", 40, 850.0, 50.8, 22.225, "black locust"),),
        (Batch("slats", ("slat",), "shed", steps),),
        uuid.UUID("0b6e8a1e-4a44-4f4e-9a3e-0d7d0c8f6d11"),
        in_service_by=dt.date(2026, 11, 20),
        begins=NOON,
        invented=True,
    )


@pytest.fixture
def stocked(store, workshop, project):
    """A store that holds the workshop and the project."""
    with store.unit() as unit:
        unit.workshops.put(workshop)
        unit.projects.put(project)
        unit.commit()
    return store


@pytest.fixture
def entry_of(project):
    """Make entries of the project's journal: ``entry_of(3)`` is the same one every time."""

    def make(number, **changes):
        fields = {
            "uid": uuid.uuid5(project.uid, str(number)),
            "project": project.name,
            "kind": EntryKind.STEP_DONE,
            "at": NOON + dt.timedelta(hours=number),
            "recorded_at": NOON + dt.timedelta(hours=number, seconds=0.25),
            "by": "Somebody",
            "batch": "slats",
            "load": 1,
            "loads": 2,
            "step": "coat-1",
            "details": {"temperature_c": 11.5, "note": "thin – ragged on", "started": None},
        }
        return Entry(**(fields | changes))

    return make


@pytest.fixture
def air_of():
    """Make air: so many hours from noon on."""

    def make(hours, temperature_c=12.0):
        at_s = NOON.timestamp() + 3600.0 * np.arange(hours)
        return AirSeries(
            at_s,
            np.full(hours, temperature_c),
            np.linspace(60.0, 80.0, hours),
            np.zeros(hours, np.uint8),
        )

    return make
