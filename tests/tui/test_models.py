"""The view models: what is shown, before any terminal is there."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from finplan.journal.entries import EntryKind
from finplan.services.chance import Range
from finplan.trade.errors import BadInput
from finplan.trade.steps import StepKind
from finplan.tui.models import air, bench, coats, drying, journal, scale, start
from finplan.tui.models.chart import Curve, Level, plot
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Role, text_of, width_of
from finplan.tui.models.timeline import chart, first_step, head_lines, neighbour, row_line
from finplan.tui.models.words import GOVERNS, cautions_of, state_of
from tests.tui.demo_plan import all_steps, demo_view
from tests.tui.demo_trade import HOUR, NOW, ZONE, at


class TestBench:
    def test_overdue_comes_first_and_says_so_in_a_word(self):
        rows = bench.todo_table(demo_view()).rows
        assert rows[0].cells[0].text == "! overdue"
        assert rows[-1].cells[0].text == "○ planned"

    def test_an_overdue_step_says_since_when(self):
        view = demo_view()
        step = view.step("locust_bench/slats/1/coat-3")
        text = text_of(bench.step_notes(view, step, 90, 6)[0])
        assert text.startswith("Due since today 08:06")

    def test_cautions_and_the_governing_line_fit_any_height(self):
        view = demo_view()
        step = view.step("locust_bench/slats/1/coat-3")
        for height in (2, 3, 6):
            lines = bench.step_notes(view, step, 60, height)
            text = " ".join(text_of(runs) for runs in lines)
            assert len(lines) <= height
            assert "Oily rags" in text and GOVERNS in text

    def test_a_reason_without_room_ends_in_dots(self):
        view = demo_view()
        step = replace(view.steps[-1], reason="Waits for this and for that. " * 9)
        for height in (1, 2):
            lines = [text_of(runs) for runs in bench.step_notes(view, step, 60, height)]
            assert len(lines) == height and lines[-1].endswith("…")

    def test_a_window_that_closes_within_a_day_is_marked(self):
        view = demo_view()
        lines = bench.window_lines(view.overview.windows, view, 60, 5)
        assert text_of(lines[0]).startswith("◆ ") and "closes" in text_of(lines[0])
        assert text_of(lines[1]).startswith("◇ ")

    def test_wait_says_why(self):
        view = demo_view()
        text = "\n".join(text_of(runs) for runs in bench.air_lines(view.overview.air, view, 120, 9))
        assert "✓ go" in text
        assert "✗ wait" in text and "dew point, 3 °C" in text

    def test_a_late_project_says_late(self):
        view = demo_view()
        lines = bench.project_lines(view.overview.projects, view, 100, 9)
        assert any("! late" in text_of(runs) for runs in lines)

    def test_a_project_is_late_by_the_day_where_it_is_made(self):
        view = replace(demo_view(), zone="America/Chicago")
        evening = dt.datetime(2026, 11, 15, 3, tzinfo=dt.UTC)  # 21:00 of the day before there
        wanted = replace(
            view.overview.projects[0], ready=evening, in_service_by=dt.date(2026, 11, 14)
        )
        lines = bench.project_lines((wanted,), view, 100, 9)
        assert not any("late" in text_of(runs) for runs in lines)

    def test_nothing_to_do_names_the_next_step(self):
        view = demo_view()
        calm = replace(view, overview=replace(view.overview, tonight=(), overdue=()))
        assert "Next:" in bench.todo_table(calm).empty


class TestAir:
    def test_rooms_with_work_to_come_are_first_and_only_they_explain_the_strip(self):
        view = demo_view()
        (shed,) = view.overview.air
        empty = replace(shed, space="attic", advice=())
        spaces = tuple(replace(view.planned.workshop.spaces[0], name=n) for n in ("attic", "shed"))
        shop = replace(view.planned.workshop, spaces=spaces)
        two = replace(
            view,
            overview=replace(view.overview, air=(empty, shed)),
            planned=replace(view.planned, workshop=shop),
        )
        assert air.spaces_of(two) == ("shed", "attic")
        told = {
            one: " ".join(map(text_of, air.air_words(two, one, 60))) for one in ("attic", "shed")
        }
        assert ("strip:" in told["shed"], "strip:" in told["attic"]) == (True, False)


class TestSession:
    def split(self):
        view = demo_view()
        sand = view.step("locust_bench/legs/1/sand")
        pieces = ((at(14, 19, 30), at(14, 21)), (at(15, 18, 30), at(15, 20)))
        steps = tuple(
            replace(s, start=pieces[0][0], end=pieces[1][1], pieces=pieces, minutes=160.0)
            if s.id == sand.id
            else s
            for s in view.steps
        )
        view = demo_view(steps)
        alone = replace(
            view.overview, tonight=tuple(s for s in steps if s.id == sand.id), overdue=()
        )
        return replace(view, overview=alone), sand.id

    def test_a_step_over_two_evenings_counts_with_this_one_alone(self):
        view, key = self.split()
        assert bench.todo_title(view) == "To do today 19:30 to 21:00 · 1 h 20 min of work"
        assert bench.todo_table(view).rows[0].cells[4].text == "80"
        assert bench.session_pieces(view)[1] == {key: ((at(14, 19, 30), at(14, 21)),)}

    def test_its_other_evening_is_among_the_coming_days(self):
        view, _ = self.split()
        text = [text_of(runs) for runs in bench.coming_lines(view, 80, 40)]
        assert "Thu 15 Oct" in text
        assert any(one.startswith("  18:30 Sand") for one in text)

    def test_a_coming_day_of_another_year_names_it(self):
        view = demo_view()
        before = replace(view, now=view.now - dt.timedelta(days=365))
        heads = [text_of(runs) for runs in bench.coming_lines(before, 80, 400)]
        assert "Thu 15 Oct 2026" in heads

    def test_projects_are_named_where_there_are_several(self):
        view = demo_view()
        assert len(view.projects) > 1
        only = {one.name: one for one in view.projects[:1]}
        alone = replace(view, planned=replace(view.planned, projects=only))
        for one, titles in ((view, ("project",)), (alone, ())):
            made = bench.todo_table(one)
            assert tuple(c.title for c in made.columns if c.title == "project") == titles
            assert {len(row.cells) for row in made.rows} == {len(made.columns)}


class TestDrying:
    def test_the_bar_fills_with_time_and_never_overflows(self):
        one = demo_view().overview.drying[0]
        filled = []
        for hours in (0, 10, 20, 40):
            runs = drying.bar(one, one.ended + hours * HOUR, 40)
            assert width_of(runs) == 40
            filled.append(sum(len(run.text) for run in runs if run.role is not Role.QUIET))
        assert filled == sorted(filled) and filled[0] == 0 and filled[-1] == 40

    def test_every_stage_before_the_goal_has_a_tick(self):
        one = demo_view().overview.drying[0]
        text = text_of(drying.bar(one, one.ended, 58))
        assert text.count("┼") == 2

    def test_times_say_whether_they_are_safe_or_likely(self):
        view = demo_view()
        text = text_of(drying.head(view.overview.drying[0], NOW, ZONE, 90))
        assert "safe" in text and "likely" in text

    def test_loads_beyond_the_room_are_counted(self):
        view = demo_view()
        lines = drying.drying_lines(view.overview.drying * 4, NOW, ZONE, 70, 3)
        assert len(lines) == 3 and "6 more" in text_of(lines[-1])


class TestCoats:
    def test_a_cell_for_every_coat_of_every_load(self):
        made = coats.coat_grid(demo_view(), "locust_bench")
        assert [column.title for column in made.columns] == [
            "load",
            "seal",
            "coat 1",
            "coat 2",
            "coat 3",
            "coat 4",
        ]
        first = made.rows[0].cells
        assert first[1].text.startswith("✓") and first[4].text.startswith("!")
        assert made.rows[2].cells[5].text == ""

    def test_sides_are_columns_of_their_own(self):
        titles = [c.title for c in coats.coat_grid(demo_view(), "oak_door").columns]
        assert "coat 1, 1st" in titles and "coat 1, 2nd" in titles

    def test_a_step_in_full_says_safe_likely_why_and_what_to_mind(self):
        view = demo_view()
        step = view.step("locust_bench/slats/1/coat-4")
        text = " ".join(text_of(runs) for runs in coats.step_lines(view, step, 70))
        for words in ("safe", "likely", "why then", "Oily rags", GOVERNS):
            assert words in text

    def test_states_are_symbol_and_word(self):
        for step in all_steps():
            state = state_of(step, NOW)
            assert state.symbol and state.word

    def test_sanding_warns_of_dust_and_a_coat_of_rags(self):
        view = demo_view()
        by_kind = {s.kind: cautions_of(view, s) for s in view.steps if s.project == "locust_bench"}
        assert "dust" in by_kind[StepKind.SAND][0]
        assert "rags" in by_kind[StepKind.COAT][0]


class TestJournal:
    def test_the_last_entry_stands_first(self):
        view = demo_view()
        made = journal.journal_table(view)
        assert made.rows[0].key == str(view.entries[-1].uid)
        assert len(made.rows) == len(view.entries)

    def test_an_undone_entry_says_so(self):
        view = demo_view()
        last = view.entries[-1]
        back = replace(
            last, uid=last.uid.__class__(int=999), kind=EntryKind.UNDO, about=last.uid, details={}
        )
        made = journal.journal_table(replace(view, entries=(*view.entries, back)))
        assert made.rows[0].cells[2].text.startswith("step done: ")
        assert made.rows[1].cells[1].text.endswith("(undone)")

    def test_details_name_their_units(self):
        entry = demo_view().entries[-1]
        assert "12.5 °C" in journal.details(entry, Measures()) and "71 % RH" in journal.details(
            entry, Measures()
        )

    def test_a_wish_tells_its_hour(self):
        view = demo_view()
        entry = view.entries[-1]
        for wished, told in ((at(20, 18).isoformat(), "wished    "), (None, "withdrawn")):
            wish = replace(entry, kind=EntryKind.WISH, details={"start": wished})
            lines = [text_of(runs) for runs in journal.entry_lines(view, wish, 60)]
            assert any(told in words for words in lines)


class TestTimeline:
    def test_a_range_stands_beside_the_safe_date_of_what_is_not_finished(self):
        view = demo_view()
        name = view.projects[0].name
        safe = view.planned.ready_of(name).safe
        day = dt.timedelta(days=1)
        both = chart(view, (), {name: Range(safe - 3 * day, safe + 9 * day)}).rows[0].note
        assert both == "ready Thu 12 Nov safe · 9 Nov to 21 Nov in 8 of 10"
        open_end = chart(view, (), {name: Range(safe - 3 * day, None)}).rows[0].note
        assert open_end == "ready Thu 12 Nov safe · 9 Nov at the earliest"
        assert chart(view, (), {}).rows[0].note == "ready Thu 12 Nov safe"

    def test_rows_are_headings_and_loads(self):
        laid = chart(demo_view())
        assert [row.label.strip() for row in laid.rows] == [
            "Locust bench on the jetty",
            "slats 1/2",
            "slats 2/2",
            "legs",
            "White-oak door of the boathouse",
            "door",
        ]

    @given(
        st.sampled_from(scale.ZOOMS),
        st.integers(-4000, 4000),
        st.integers(10, 150),
        st.integers(0, 5),
    )
    @settings(max_examples=60)
    def test_a_row_always_fills_its_width(self, minutes, hours, width, index):
        laid = chart(demo_view(), [(at(d, 18), at(d, 21)) for d in range(9, 20)])
        window = scale.window_at(NOW + hours * HOUR, ZONE, minutes, width, width // 5)
        row = laid.rows[index]
        assert width_of(row_line(row, laid, window, 14, "", False)) <= 14 + width
        upper, lower = head_lines(laid, window, 14)
        assert width_of(upper) == width_of(lower) == 14 + width

    def test_done_steps_are_ticked_and_closing_windows_marked(self):
        laid = chart(demo_view())
        window = scale.window_at(NOW, ZONE, 120, 120, 60)
        text = text_of(row_line(laid.rows[1], laid, window, 14, "", False))
        assert "✓" in text and "╌" in text and "━" in text
        coarse = scale.window_at(NOW, ZONE, 60, 200, 20)
        assert "◆" in text_of(row_line(laid.rows[1], laid, coarse, 14, "", False))

    def test_arrows_go_along_the_row_and_to_the_nearest_step_of_the_next(self):
        laid = chart(demo_view())
        chosen = first_step(laid)
        along = neighbour(laid, chosen, 0, 1)
        assert laid.place(along)[0] == laid.place(chosen)[0]
        assert laid.place(along)[1] == laid.place(chosen)[1] + 1
        up = neighbour(laid, chosen, -1, 0)
        assert laid.rows[laid.place(up)[0]].steps

    def test_labels_of_days_stand_on_midnight(self):
        window = scale.window_at(NOW, ZONE, 60, 72, 12)
        upper, _ = scale.scale_lines(window, ZONE)
        there = scale.moments(window, ZONE)
        for name in ("Thu 15 Oct", "Fri 16 Oct"):
            assert there[text_of(upper).index(name)].hour == 0

    def test_the_clock_change_keeps_whole_hours(self):
        sunday = dt.datetime(2026, 10, 25, 12, tzinfo=dt.UTC)
        window = scale.window_at(sunday, ZONE, 60, 48, 24)
        hours = [moment.hour for moment in scale.moments(window, ZONE)]
        assert hours.count(2) == 3  # the hour from 2 to 3 comes twice on this Sunday


class TestChart:
    @given(st.lists(st.floats(-40, 60), min_size=1, max_size=80), st.integers(2, 12))
    def test_a_plot_is_as_high_and_wide_as_asked(self, values, height):
        lines = plot([Curve(values, Role.WORK)], [Level(5.0, Role.BAD)], 40, height, "°")
        assert len(lines) == height
        assert all(width_of(runs) == 46 for runs in lines)
        assert any(ord(c) > 0x2800 for runs in lines for c in text_of(runs))

    def test_higher_values_stand_higher(self):
        lines = plot([Curve([0.0] * 20 + [30.0] * 20, Role.WORK)], [], 20, 6, "°")
        assert text_of(lines[0])[6:16].strip() == "" and text_of(lines[0])[17:].strip()
        assert text_of(lines[-1])[6:15].strip() and text_of(lines[-1])[17:].strip() == ""

    @given(st.floats(0.0, 60.0), st.sampled_from([0.0, 0.4, 1.1, 2.0, 5.0]))
    def test_the_labels_of_a_scale_are_never_the_same(self, least, more):
        lines = plot([Curve([least, least + more], Role.GOOD)], [], 20, 6, "%")
        labels = [text for runs in lines if (text := text_of(runs)[:6].strip())]
        assert len(labels) == len(set(labels)) == 3

    def test_no_humidity_stands_above_100_percent_on_the_scale(self):
        lines = plot([Curve([62.0, 100.0, 90.0], Role.GOOD)], [], 20, 6, "%", most=100.0)
        assert text_of(lines[0]).split()[0] == "100%"

    def test_the_air_in_full_is_a_picture_one_can_still_look_at(self):
        assert len(air.air_chart(demo_view(), "shed", 80, 10_000)) < 100


class TestStart:
    @pytest.mark.parametrize("text", ["x" * 300, "~nobody-is-called-so/parts.csv", "a\0b"])
    def test_what_can_be_no_name_of_a_file_is_refused_in_words(self, text):
        with pytest.raises(BadInput, match="there is no"):
            start.file_reader(text)

    @pytest.mark.parametrize(
        ("text", "sizes"),
        [
            ("1400 x 52 x 24 mm", (1400, 52, 24)),
            ("1400 × 52 × 24", (1400, 52, 24)),
            ("1,4 m x 52 mm x 24 mm", (1400, 52, 24)),
            ("4 ft x 2 in x 1 in", (1219.2, 50.8, 25.4)),
        ],
    )
    def test_sizes_with_units(self, text, sizes):
        value, echo = start.size_reader(text, Measures())
        assert value == pytest.approx(sizes)
        assert echo.endswith("mm")

    @pytest.mark.parametrize("text", ["", "1400", "1400 x 52", "a x b x c", "-1 x 2 x 3 mm"])
    def test_sizes_that_are_none_are_refused(self, text):
        with pytest.raises(BadInput):
            start.size_reader(text, Measures())
