"""Texts, times and tables: what all view models are put together from."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from finplan.tui.models import paint, table, times
from finplan.tui.models.paint import line, text_of, width_of
from tests.tui.demo_trade import HOUR, NOW, ZONE


class TestPaint:
    def test_control_characters_and_escapes_never_reach_the_terminal(self):
        assert paint.tidy("oak\x1b[31m\x07 door\u202e\tleft\n") == "oak[31m door left"

    def test_a_name_of_10000_letters_is_shortened_with_an_ellipsis(self):
        short = paint.tidy("x" * 10_000)
        assert len(short) == paint.LONGEST and short.endswith("…")

    def test_markup_is_plain_text(self):
        assert text_of(line(paint.tidy("[bold red]x[/]"))) == "[bold red]x[/]"

    @given(st.text(max_size=60), st.integers(1, 40))
    def test_fill_always_takes_the_width_asked_for(self, text, width):
        assert cell_len(paint.fill(paint.tidy(text), width)) == width

    @given(st.text(max_size=60), st.text(max_size=30), st.integers(20, 80))
    def test_spread_never_takes_more_than_the_width(self, left, right, width):
        runs = paint.spread(line(paint.tidy(left)), line(paint.tidy(right, 30)), width)
        assert width_of(runs) <= width

    def test_wrap_keeps_every_word(self):
        words = "one two three four five six seven"
        lines = paint.wrap(words, 11)
        assert " ".join(text_of(runs) for runs in lines) == words
        assert all(width_of(runs) <= 11 for runs in lines)


class TestTimes:
    def test_days_near_now_have_names(self):
        assert times.moment(NOW, ZONE, NOW) == "today 18:42"
        assert times.moment(NOW + 24 * HOUR, ZONE, NOW) == "tomorrow 18:42"
        assert times.moment(NOW + 72 * HOUR, ZONE, NOW) == "Sat 17 Oct 18:42"

    def test_elapsed_hours_across_the_clock_change_are_elapsed_hours(self):
        before = dt.datetime(2026, 10, 24, 22, tzinfo=dt.UTC)
        after = before + 12 * HOUR
        assert times.until(after, before) == "in 12 h"
        assert times.clock(before, ZONE) == "00:00"
        assert times.clock(after, ZONE) == "11:00"

    @pytest.mark.parametrize(
        ("minutes", "words"),
        [(45, "45 min"), (60, "1 h"), (200, "3 h 20 min"), (26 * 60, "26 h"), (9 * 1440, "9 d")],
    )
    def test_lengths_in_few_words(self, minutes, words):
        assert times.minutes(minutes) == words

    def test_a_stretch_names_its_day_once(self):
        assert times.stretch(NOW, NOW + HOUR, ZONE, NOW) == "today 18:42 to 19:42"


class TestTable:
    def make(self) -> table.Table:
        columns = (
            table.Column("name", 6, grow=1),
            table.Column("m²", 4, right=True, drop=1),
            table.Column("project", 8, drop=2),
        )
        rows = (
            table.Row("a", (table.Cell("slats"), table.Cell("3.4"), table.Cell("locust_bench"))),
            table.Row("b", (table.Cell("door leaf"), table.Cell("12.0"), table.Cell("oak_door"))),
        )
        return table.Table(columns, rows)

    def test_all_columns_show_where_there_is_room(self):
        fitted = table.fit(self.make(), 60)
        assert fitted.shown == (0, 1, 2)
        assert width_of(table.row_line(self.make(), self.make().rows[0], fitted)) <= 60

    def test_columns_leave_in_their_order(self):
        assert table.fit(self.make(), 14).shown == (0, 1)
        assert table.fit(self.make(), 8).shown == (0,)

    def test_cut_text_ends_in_an_ellipsis_and_numbers_stand_right(self):
        made = self.make()
        fitted = table.Fit((0, 1), (5, 6))
        assert text_of(table.row_line(made, made.rows[1], fitted)) == "door…    12.0"

    def test_matching_wants_every_word_whatever_the_case(self):
        assert self.matching("OAK door", 10) == [1]
        assert self.matching("", 1) == [0, 1]

    def test_matching_in_pieces_finds_the_same(self):
        assert self.matching("door", 1) == self.matching("door", 10)

    def matching(self, words, rows_at_once):
        search = table.Search(table.Texts(self.make().rows), words)
        while not search.done:
            search.look(rows_at_once)
        return search.found

    def test_copied_text_has_the_header_and_only_the_rows_that_show(self):
        assert table.as_text(self.make(), (1,)) == "name\tm²\tproject\ndoor leaf\t12.0\toak_door"
