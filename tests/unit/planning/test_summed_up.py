"""What moved, summed up: no change is lost, and the figures are those of the steps."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from finplan.planning.changes import Change, changes
from finplan.planning.kept import kept
from finplan.planning.make import make_plan
from finplan.planning.summed_up import summed_up
from tests.unit.planning.shops import EVENINGS, NOW, request, workshop

OSLO = ZoneInfo("Europe/Oslo")
HOUR, DAY = dt.timedelta(hours=1), dt.timedelta(days=1)


def moved(step, by, after=""):
    what = f"{step} moves"
    sentence = f"{what}, because {after} is late." if after else f"{what}. So it is."
    return Change("bench", step, NOW, NOW + by, after, sentence, what, after)


def told(*all_of_it):
    return [one.sentence for one in summed_up(all_of_it)]


def test_a_chain_is_told_with_its_first_step():
    said = told(moved("a", DAY), moved("b", 2 * DAY, "a"), moved("c", 3 * DAY, "b"))
    assert said == ["a moves, and 2 steps after it by 2 to 3 days. So it is."]


def test_why_the_first_moved_is_kept_and_chains_stay_apart():
    chain = [moved("b", DAY, "gone"), moved("c", DAY, "b"), moved("d", DAY + 2 * HOUR, "c")]
    other = [moved("x", -DAY), moved("y", -DAY, "x")]
    assert told(*chain, *other) == [
        "b moves, and 2 steps after it by 1 day, because gone is late.",
        "x moves. So it is.",
        "y moves, because x is late.",
    ]


def test_what_moves_the_other_way_stands_by_itself():
    rest = [moved("b", HOUR, "a"), moved("c", -DAY, "b"), moved("d", 2 * HOUR, "b")]
    assert told(moved("a", DAY), *rest) == [
        "a moves, and 2 steps after it by 1 to 2 h. So it is.",
        "c moves, because b is late.",
    ]


def test_dates_and_steps_that_come_or_go_are_kept():
    date = Change("bench", "", NOW, NOW + DAY, "", "bench is ready later.")
    comes = Change("bench", "scuff", None, NOW, "", "scuff comes in.")
    goes = Change("bench", "clean", NOW, None, "", "clean is no longer needed.")
    every = (date, comes, moved("a", DAY, "scuff"), goes)
    assert summed_up(every) == every


def test_steps_that_name_each_other_are_told():
    around = [moved("a", DAY, "c"), moved("b", DAY, "a"), moved("c", DAY, "b")]
    assert told(*around) == [one.sentence for one in around]


@pytest.mark.parametrize(
    ("least", "most", "words"),
    [
        (DAY / 24 / 4, DAY / 24 / 2, "15 to 30 min"),
        (DAY / 48, 3 * HOUR, "30 min to 3 h"),
        (5 * HOUR, 2 * DAY, "5 h to 2 days"),
        (22 * HOUR, 26 * HOUR, "1 day"),
        (DAY, 3 * DAY, "1 to 3 days"),
    ],
)
def test_how_much_in_round_figures(least, most, words):
    (said,) = told(moved("a", DAY), moved("b", least, "a"), moved("c", most, "a"))
    assert said == f"a moves, and 2 steps after it by {words}. So it is."


def test_a_week_without_a_record_is_one_sentence_for_every_load():
    asked = request(shop=workshop(EVENINGS))
    plan = make_plan(asked)
    later = make_plan(replace(asked, now=NOW + 7 * DAY, before=kept(plan)))
    every = changes(kept(plan), later, OSLO)
    short = summed_up(every)
    assert len(every) > 12
    assert len([one for one in short if one.step]) == 1
    assert f"and {len([one for one in every if one.step]) - 1} steps after it" in short[-1].sentence
