"""The rack: where a stay has room, against looking at every instant."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from finplan.planning.rack import Hold, Rack

ROOM_M2 = 2.0
LAST = 40

stays = st.builds(
    lambda start, length, area, chain: Hold(start + length, start, area / 4, chain),
    st.integers(1, 30),
    st.integers(1, 9),
    st.integers(1, 6),
    st.integers(0, 3),
)
racks = st.lists(stays, max_size=12)


def taken(holds, at, chain):
    return sum(h.area_m2 for h in holds if h.start_s <= at < h.end_s and h.chain != chain)


def fits(holds, start, end, chain):
    return all(taken(holds, at, chain) <= ROOM_M2 for at in range(start, end))


def filled(holds):
    rack = Rack()
    for hold in holds:
        rack = rack.with_hold(hold)
    return rack


@given(racks, st.integers(1, 30), st.integers(1, 9), st.integers(0, 3))
def test_a_stay_has_room_where_every_instant_has(holds, start, length, chain):
    rack = filled(holds).others(chain, start)
    frees_s = rack.frees_s(ROOM_M2, start, start + length)
    assert (frees_s is None) == fits(holds, start, start + length, chain)
    if frees_s is not None:
        assert frees_s > start
        assert not any(fits(holds, at, at + length, chain) for at in range(start, frees_s))


@given(racks, st.integers(1, 30), st.integers(1, 9), st.integers(0, 3))
def test_the_first_room_for_a_coat_is_found_from_stretch_to_stretch(holds, start, length, chain):
    rack, at = filled(holds).others(chain, start), start
    while (after := rack.begins_after_s(ROOM_M2, at, at + length)) is not None:
        assert after > at
        at = after
    assert at == next(s for s in range(start, LAST + 1) if fits(holds, s, s + length, chain))


def test_a_rack_is_not_changed_by_one_stay_more():
    empty = Rack()
    full = empty.with_hold(Hold(20, 10, 5.0, 1))
    assert full.frees_s(ROOM_M2, 5, 12) == 20
    assert empty.frees_s(ROOM_M2, 5, 12) is None
    assert full.without_open(1).frees_s(ROOM_M2, 5, 12) == 20
