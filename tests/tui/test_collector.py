"""What is loaded is set aside from the collector; what is gone from the screen is not kept."""

from __future__ import annotations

import gc

from textual.strip import Strip

from tests.tui.conftest import settle

A_LINE_OR_TWO = 20
"""Strips that come and go by themselves; an open form has over a hundred."""


async def test_what_is_loaded_is_set_aside_only_while_the_program_runs(opened):
    async with opened():
        assert gc.isenabled()
        assert gc.get_freeze_count() > 0
    assert gc.isenabled()
    assert gc.get_freeze_count() == 0


async def test_a_form_that_is_closed_leaves_nothing_drawn_behind(opened):
    async with opened() as pilot:
        once = await strips_after_forms(pilot, 1)
        assert await strips_after_forms(pilot, 3) - once < A_LINE_OR_TWO


async def strips_after_forms(pilot, times):
    """How many drawn lines are in memory once a form was opened and closed so many times."""
    for _ in range(times):
        await pilot.press("d")
        await settle(pilot)
        await pilot.press("escape")
        await settle(pilot)
    gc.collect()
    return sum(isinstance(one, Strip) for one in gc.get_objects())
