"""Units of work: everything or nothing, versions, and what others did meanwhile."""

from __future__ import annotations

import dataclasses

import pytest

from finplan.store.base import StaleWrite
from finplan.store.store import open_store
from finplan.trade.errors import BadInput


def test_what_is_committed_is_there_when_opened_again(data, stocked, workshop, project):
    stocked.close()
    with open_store(data) as again, again.unit(writes=False) as unit:
        assert unit.projects.get(project.name) == project
        assert unit.workshops.list() == (workshop,)


def test_without_commit_nothing_is_kept(store, workshop):
    with store.unit() as unit:
        unit.workshops.put(workshop)
    with store.unit(writes=False) as unit:
        assert unit.workshops.list() == ()


def test_a_fault_half_way_keeps_nothing(store, workshop, project):
    lost = dataclasses.replace(project, workshop="nowhere")
    with pytest.raises(BadInput, match="no workshop 'nowhere'"), store.unit() as unit:
        unit.workshops.put(workshop)
        unit.projects.put(lost)
        unit.commit()
    with store.unit(writes=False) as unit:
        assert unit.workshops.names() == ()


def test_a_unit_for_reading_never_commits(stocked, project):
    with stocked.unit(writes=False) as unit:
        unit.projects.put(dataclasses.replace(project, title="Other"))
        with pytest.raises(RuntimeError, match="reading"):
            unit.commit()
    with stocked.unit(writes=False) as unit:
        assert unit.projects.get(project.name) == project


def test_a_version_counts_the_writes(stocked, project):
    with stocked.unit() as unit:
        assert unit.projects.version(project.name) == 1
        assert unit.projects.put(dataclasses.replace(project, notes="wet"), 1) == 2
        assert unit.projects.version(project.name) == 2
        assert unit.projects.version("no-such") == 0


def test_a_stale_write_is_refused_with_both_values(stocked, project):
    theirs = dataclasses.replace(project, title="Bench, longer")
    mine = dataclasses.replace(project, title="Bench, shorter")
    with stocked.unit() as unit:
        unit.projects.put(theirs, expected_version=1)
        unit.commit()
    with pytest.raises(StaleWrite) as refused, stocked.unit() as unit:
        unit.projects.put(mine, expected_version=1)
    assert "there Bench, longer, yours Bench, shorter" in str(refused.value)
    assert (refused.value.stored, refused.value.given) == (theirs, mine)
    with stocked.unit(writes=False) as unit:
        assert unit.projects.get(project.name) == theirs


def test_a_write_of_what_was_removed_meanwhile_is_refused(stocked, project):
    with stocked.unit() as unit:
        unit.projects.remove(project.name, expected_version=1)
        unit.commit()
    with pytest.raises(StaleWrite, match="not there any more"), stocked.unit() as unit:
        unit.projects.put(project, expected_version=1)


def test_a_removal_of_what_was_changed_meanwhile_is_refused(stocked, project):
    with stocked.unit() as unit:
        unit.projects.put(dataclasses.replace(project, notes="more"))
        unit.commit()
    with pytest.raises(StaleWrite), stocked.unit() as unit:
        unit.projects.remove(project.name, expected_version=1)


def test_what_must_be_new_is_refused_where_it_is_not(stocked, project):
    with pytest.raises(StaleWrite), stocked.unit() as unit:
        unit.projects.put(project, expected_version=0)


def test_a_project_may_be_renamed_and_keeps_its_journal(stocked, project, entry_of):
    with stocked.unit() as unit:
        unit.journal.append([entry_of(1)])
        unit.projects.put(dataclasses.replace(project, name="long-bench"))
        unit.commit()
    with stocked.unit(writes=False) as unit:
        assert unit.projects.names() == ("long-bench",)
        assert [entry.project for entry in unit.journal.of("long-bench")] == ["long-bench"]


def test_two_projects_never_share_a_name(stocked, project):
    import uuid

    other = dataclasses.replace(project, uid=uuid.uuid4())
    with pytest.raises(BadInput, match="another project called"), stocked.unit() as unit:
        unit.projects.put(other)


def test_a_name_that_is_not_there_offers_the_nearest(stocked):
    with stocked.unit(writes=False) as unit, pytest.raises(BadInput) as refused:
        unit.projects.get("boathouse-bensh")
    assert str(refused.value) == (
        "there is no project 'boathouse-bensh': did you mean 'boathouse-bench'?"
    )


def test_a_workshop_in_use_is_not_removed(stocked, workshop):
    with pytest.raises(BadInput, match="boathouse-bench is made"), stocked.unit() as unit:
        unit.workshops.remove(workshop.name)


def test_windows_notice_each_others_changes(data, stocked, project):
    before = stocked.change_stamp()
    assert stocked.change_stamp() == before
    with open_store(data) as other, other.unit() as unit:
        unit.projects.put(dataclasses.replace(project, notes="changed in the other window"))
        unit.commit()
    assert stocked.change_stamp() > before
