"""The garbage collector is spared what stays, and works as always once the program is there."""

from __future__ import annotations

import gc


async def test_what_is_loaded_is_set_aside_only_while_the_program_runs(opened):
    async with opened():
        assert gc.isenabled()
        assert gc.get_freeze_count() > 0
    assert gc.isenabled()
    assert gc.get_freeze_count() == 0
