"""What the upkeep screen shows, before any terminal is there."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace
from types import SimpleNamespace

import pytest

from finplan.services.materials import CoatNeed
from finplan.services.upkeep import YearsAhead
from finplan.tracking.upkeep.pieces import Finding, UpkeepKind
from finplan.tracking.upkeep.window import NoWindow
from finplan.trade.quantities import Units
from finplan.trade.upkeep import Exposure
from finplan.tui.models import upkeep, upkeep_history, upkeep_years
from finplan.tui.models.care import care_lines
from finplan.tui.models.cared import care_of
from finplan.tui.models.litres import litres_lines
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import join, text_of, width_of
from finplan.tui.models.upkeep_bench import bench_lines, pending
from finplan.tui.shop_upkeep import Downtime
from tests.tui.demo_plan import demo_view
from tests.tui.demo_trade import NOW, OIL, ZONE
from tests.tui.demo_upkeep import LOGS, SILL, STEPS, demo_care, demo_window, looked

VIEW = demo_view()
CARE = demo_care()
METRIC = Measures()
DOWNTIME = Downtime(demo_window())


def piece(name, care=CARE):
    return next(one for one in care.pieces if one.piece.name == name)


def rows(table):
    return {row.key: [cell.text for cell in row.cells] for row in table.rows}


class TestPieces:
    def test_the_most_pressing_piece_stands_first_with_symbol_and_word(self):
        table = upkeep.piece_table(VIEW, CARE)
        states = [row.cells[0].text for row in table.rows]
        assert states[0] in ("! overdue", "● now")
        assert "▲ see to it" in states

    def test_a_row_tells_place_finish_last_and_next(self):
        row = rows(upkeep.piece_table(VIEW, CARE))[STEPS.name]
        assert row[1:5] == ["Steps of the jetty", "Lake house", "penetrating_oil", "May 2026"]
        assert row[5].split()[0] in ("renew", "clean", "look")

    def test_without_a_piece_the_table_says_what_to_do(self):
        table = upkeep.piece_table(VIEW, None)
        assert table.rows == () and "i installs one" in table.empty

    def test_a_day_gone_by_is_overdue_since_then(self):
        late = demo_care(now=NOW + dt.timedelta(days=500))
        seen = piece(SILL.name, late)
        now = NOW + dt.timedelta(days=500)
        first = upkeep.soonest(seen)
        today = upkeep.today_of(seen.piece, now)
        assert upkeep.state_of_piece(seen, now).word == "overdue"
        assert upkeep.shown_day(first, today) == first.due < today

    def test_why_and_downtime_stand_in_the_first_lines(self):
        told = join(upkeep.piece_lines(VIEW, piece(STEPS.name), DOWNTIME, 76, 30))
        told = told.replace("\n", " ")
        assert "months after the last: water was taken up slowly and there was mildew" in told
        assert "■ Out of use Fri 2 Apr 2027 18:00 to Mon 5 Apr 07:00, safe." in told
        assert "▲ Mildew: clean it off" in told
        assert "No work: 1 Jul 2027 to 14 Jul 2027 (guests)." in told

    def test_no_best_time_says_why_and_too_long_a_downtime_is_told(self):
        seen, none = piece(STEPS.name), Downtime(NoWindow("no wished day has hours"))
        told = join(upkeep.piece_lines(VIEW, seen, none, 76, 30))
        assert "No best time for the renewal: no wished day has hours." in told
        long = Downtime(replace(demo_window(), too_long=True))
        told = join(upkeep.piece_lines(VIEW, seen, long, 76, 30))
        assert "It may be out of use for 4.0 days only" in told

    def test_outdoors_the_best_time_says_that_no_rain_is_known(self):
        outside, words = piece(STEPS.name), "▲ No rain is known: look at a forecast"
        assert words in join(upkeep.piece_lines(VIEW, outside, DOWNTIME, 76, 40))
        planned = replace(DOWNTIME, project="steps-renewal")
        assert words not in join(upkeep.piece_lines(VIEW, outside, planned, 76, 40))
        roofed = replace(outside.piece, exposures=frozenset({Exposure.COVERED}))
        inside = replace(outside, outlook=replace(outside.outlook, piece=roofed))
        assert words not in join(upkeep.piece_lines(VIEW, inside, DOWNTIME, 76, 40))

    def test_times_are_those_of_where_the_piece_is(self):
        seen = piece(STEPS.name)
        there = replace(seen.piece, zone="America/New_York")
        away = replace(seen, outlook=replace(seen.outlook, piece=there))
        told = join(upkeep.piece_lines(VIEW, away, DOWNTIME, 76, 40))
        assert "Fri 2 Apr 2027 12:00 to Mon 5 Apr 01:00" in told
        assert "Days and hours are those of America/New_York." in told

    def test_imperial_units_reach_every_number(self):
        view = replace(VIEW, measures=Measures(Units.IMPERIAL))
        told = join(upkeep.piece_lines(view, piece(STEPS.name), None, 76, 30))
        assert "ft²" in told and "fl oz" in told and "73 °F" in told
        assert "m²" not in told.replace("ft²", "") and " l" not in told.split("takes")[1][:12]
        assert "ft²" in [column.title for column in upkeep.piece_table(view, CARE).columns]

    def test_what_does_not_fit_is_told(self):
        lines = upkeep.piece_lines(VIEW, piece(STEPS.name), DOWNTIME, 40, 4)
        assert len(lines) == 4 and "v shows all" in text_of(lines[-1])

    def test_a_finished_project_waits_to_be_installed_until_it_is(self):
        over = VIEW.overview
        done = tuple(
            replace(one, state="finished") if one.name == "oak_door" else one
            for one in over.projects
        )
        view = replace(VIEW, overview=replace(over, projects=done))
        table = upkeep.piece_table(view, CARE)
        assert table.rows[0].key == "project:oak_door"
        assert "i puts it into use" in table.rows[0].cells[2].text
        first = piece(SILL.name)
        named = replace(first.outlook.piece, name="oak_door")
        care = replace(CARE, pieces=(replace(first, outlook=replace(first.outlook, piece=named)),))
        assert upkeep.finished_projects(view, care) == ()

    def test_a_finished_renewal_is_no_new_piece(self):
        name = "oak_door"
        summary = replace(VIEW.overview.projects[1], name=name, state="finished")
        over = replace(VIEW.overview, projects=(summary,))
        view = replace(VIEW, overview=over)
        assert upkeep.finished_projects(view, CARE) == ((name, summary.title),)
        renewal = replace(VIEW.planned.projects[name], renews=STEPS.uid)
        planned = replace(VIEW.planned, projects={name: renewal})
        assert upkeep.finished_projects(replace(view, planned=planned), CARE) == ()


class TestHistory:
    def test_the_last_entry_stands_first_with_what_was_found_and_used(self):
        table = upkeep_history.history_table(piece(STEPS.name), METRIC)
        assert table.rows[0].cells[2].text == "water goes in slowly, mildew"
        assert table.rows[1].cells[2].text == "0.16 l, cost 12.50"

    def test_undone_and_corrected_entries_stay_in_sight(self):
        undone = replace(
            looked(731, SILL, "2026-10-01"), kind=UpkeepKind.UNDONE, about=uuid.UUID(int=711)
        )
        right = replace(looked(732, SILL, "2026-09-12", Finding.SLOW), about=uuid.UUID(int=712))
        logs = {**LOGS, SILL.name: (*LOGS[SILL.name], undone, right)}
        table = upkeep_history.history_table(piece(SILL.name, demo_care(logs)), METRIC)
        words = [row.cells[1].text for row in table.rows]
        assert "∿ cleaned (undone)" in words and "◇ inspected (corrected)" in words
        assert len(words) == 3

    def test_undo_names_the_entry_written_last_over_all_pieces(self):
        last = upkeep_history.last_told(CARE)
        assert last == LOGS[STEPS.name][-1]
        told = upkeep_history.told_of(last, piece(STEPS.name))
        assert (
            told == "inspected (water goes in slowly, mildew), Sat 26 Sep 2026, Steps of the jetty"
        )
        assert upkeep_history.last_told(None) is None


class TestYears:
    def test_every_year_shows_and_its_sums_are_those_of_its_visits(self):
        found = CARE.totals
        assert [row.year for row in found] == list(range(2024, 2032))
        for row in found:
            due = [visit for visit in CARE.visits if visit.on.year == row.year]
            assert sum(row.coming_l.values()) == pytest.approx(
                sum(visit.effort.litres for visit in due)
            )
            assert row.visits == len({(visit.on, visit.place) for visit in due})
        assert found[1].used_l[OIL.name] == pytest.approx(0.18) and found[1].cost == pytest.approx(
            14.0
        )

    def test_a_cost_that_is_not_known_stays_so(self):
        unknown = tuple(replace(one, effort=replace(one.effort, cost=None)) for one in CARE.visits)
        care = care_of(YearsAhead(CARE.pieces, unknown, ()), NOW, ZONE, 5)
        assert care.totals[-1].cost is None
        lines = upkeep_years.year_lines(VIEW, care, 78, 7)
        assert "not known" in text_of(lines[-1])

    def test_a_month_shows_the_weightiest_work_to_come_and_how_often(self):
        for (year, month), (work, count) in CARE.coming.items():
            own = [v.work for v in CARE.visits if (v.on.year, v.on.month) == (year, month)]
            assert work is next(one for one in upkeep.WORKS if one in own)
            assert count == own.count(work)

    def test_this_year_and_the_next_five_fit_the_smallest_panel(self):
        lines = upkeep_years.year_lines(VIEW, CARE, 78, 7)
        assert [text_of(one)[:4] for one in lines] == ["year", *map(str, range(2026, 2032))]

    def test_with_more_room_past_years_and_dated_visits_follow(self):
        told = join(upkeep_years.year_lines(VIEW, CARE, 110, 30))
        assert "2024" in told and "━" in told and "╍" in told
        assert "Visits" in told and "more visits (v shows all)" in told

    @pytest.mark.parametrize("width", [58, 78, 96, 140])
    @pytest.mark.parametrize("height", [3, 7, 20, 10_000])
    def test_no_line_is_wider_than_the_room(self, width, height):
        for lines in (
            upkeep_years.year_lines(VIEW, demo_care(years=10), width, height),
            upkeep.piece_lines(VIEW, piece(STEPS.name), DOWNTIME, width, height),
            bench_lines(VIEW, pending(VIEW, CARE), width, height),
        ):
            assert len(lines) <= height
            assert all(width_of(one) <= width for one in lines)


class TestBench:
    def test_the_most_pressing_upkeep_stands_first(self):
        lines = bench_lines(VIEW, pending(VIEW, CARE), 60, 20)
        assert len(lines) == 9
        assert text_of(lines[0])[0] in "!●"

    def test_a_small_bench_has_one_line_that_counts_the_rest(self):
        (only,) = bench_lines(VIEW, pending(VIEW, CARE), 78, 1)
        assert text_of(only).startswith("Upkeep  ") and text_of(only).endswith("+8")

    def test_nothing_installed_takes_no_room(self):
        assert bench_lines(VIEW, pending(VIEW, None), 78, 1) == ()


def test_litres_show_coat_by_coat_as_bars_in_proportion():
    need = SimpleNamespace(coats=(CoatNeed(0, 1.0, 0.05), CoatNeed(1, 3.0, 0.2)))
    lines = litres_lines(need, METRIC, 50)
    seal, coat = (text_of(one) for one in lines)
    assert seal.count("━") * 4 == pytest.approx(coat.count("━"), abs=2)
    assert "coat 1" in coat and coat.endswith("0.200 l")
    assert litres_lines(need, METRIC, 20) == ()
    assert litres_lines(SimpleNamespace(coats=()), METRIC, 50) == ()
    assert text_of(litres_lines(need, Measures(Units.IMPERIAL), 50)[1]).endswith("fl oz")


def test_the_care_sheet_in_lines():
    from finplan.services.care import care_sheet

    lines = care_lines(care_sheet(piece(STEPS.name)), 60)
    told = join(lines)
    assert "Care of Steps of the jetty, Lake house" in told and "- Finish: " in told
    assert all(width_of(one) <= 60 for one in lines)
