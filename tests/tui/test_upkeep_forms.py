"""What the forms of the upkeep ask, and how it is read."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from finplan.library.load import finishes, upkeep_defaults
from finplan.tracking.upkeep.pieces import Blocked, Finding, UpkeepKind
from finplan.trade.errors import BadInput
from finplan.trade.quantities import Units
from finplan.trade.upkeep import Exposure
from finplan.tui.models import upkeep
from finplan.tui.models.day_words import cycle_reader, days_reader, rule_text
from finplan.tui.models.forms import answer
from finplan.tui.models.measures import Measures
from finplan.tui.models.piece_forms import block_form, fields_of, piece_form, said_of, stretch_of
from finplan.tui.models.upkeep_forms import done_form, findings_of, given_of, look_form, usual_kind
from finplan.tui.shop_upkeep import PieceChoices
from tests.tui.demo_trade import NOW, ZONE
from tests.tui.demo_upkeep import LOGS, SILL, STEPS, demo_care

CARE = demo_care()
CHOICES = PieceChoices(finishes(), upkeep_defaults())
METRIC = Measures()


def piece(name, care=CARE):
    return next(one for one in care.pieces if one.piece.name == name)


class TestForms:
    def filled(self, form, **given):
        understood = answer(form, {one.key: one.initial for one in form.fields} | given)
        return understood

    def test_a_piece_form_sent_unchanged_changes_nothing(self):
        known = replace(
            STEPS, finish="penetrating oil", zone="Europe/Oslo", days="FREQ=WEEKLY;BYDAY=SA"
        )
        told = fields_of(known)
        form = piece_form(told, CHOICES, NOW, ZONE, METRIC, change=True)
        understood = self.filled(form)
        assert understood.faults == {} and understood.together == ""
        assert {k: v for k, v in said_of(understood.values).items() if v != told[k]} == {}

    @pytest.mark.parametrize(
        ("months", "text"),
        [
            ((4, 5, 6, 7), "apr-jul"),
            ((1, 2, 11, 12), "nov-feb"),
            ((3, 5, 6), "mar,may-jun"),
            ((9,), "sep"),
            (tuple(range(1, 13)), ""),
            ((), ""),
        ],
    )
    def test_a_season_is_written_as_one_would_type_it(self, months, text):
        told = fields_of(replace(STEPS, season=months))
        form = piece_form(told, CHOICES, NOW, ZONE, METRIC, change=True)
        season = next(one for one in form.fields if one.key == "season")
        assert season.initial == text
        assert season.read(text)[0] == (months if len(months) < 12 else ())

    def test_every_field_of_a_piece_is_asked(self):
        form = piece_form({}, CHOICES, NOW, ZONE, METRIC)
        asked = {one.key for one in form.fields} - {"stands", "lies", "bears"} | {"exposures"}
        assert set(fields_of(STEPS)) - asked == {"name", "uid", "invented"}

    def test_a_new_piece_is_read_with_units_and_words(self):
        form = piece_form({}, CHOICES, NOW, ZONE, METRIC)
        understood = self.filled(
            form, title="Steps", place="Lake", finish="Penetrating Oil", area_m2="26 sq ft",
            installed="2026-04-01", lies="flat", bears="yes", season="apr-jun", days="last sat",
            renew_rule="every 6 months", may_be_out_hours="3 d", thickness_mm="1 in",
            blocked="2027-07-01..2027-07-14, 2027-08-01",
        )  # fmt: skip
        said = said_of(understood.values)
        assert understood.faults == {}
        assert said["finish"] == "penetrating oil" and said["season"] == (4, 5, 6)
        assert said["area_m2"] == pytest.approx(2.415, abs=0.01)
        assert said["exposures"] == {Exposure.FLAT, Exposure.WET_OR_TRODDEN}
        assert said["days"] == "FREQ=MONTHLY;BYDAY=-1SA"
        assert said["renew_rule"] == "FREQ=MONTHLY;INTERVAL=6"
        assert said["may_be_out_hours"] == pytest.approx(72.0)
        assert said["thickness_mm"] == pytest.approx(25.4)
        assert said["blocked"][1] == Blocked(dt.date(2027, 8, 1), dt.date(2027, 8, 1))

    @pytest.mark.parametrize(
        ("field", "text", "told"),
        [
            ("finish", "penetrating oyl", "did you mean"),
            ("area_m2", "much", "area"),
            ("installed", "2027-01-01", "lies ahead"),
            ("installed", "4/5", ""),
            ("coats", "0", "1 to 50"),
            ("season", "summer", "apr-sep"),
            ("season", "apr-", "apr-sep"),
            ("season", "jan-dec-mar", "apr-sep"),
            ("days", "someday", "no days"),
            ("renew_rule", "now and then", "no cycle"),
            ("blocked", "July", "2027-07-01"),
            ("blocked", "2027-07-01..", "are no days"),
            ("blocked", "2027-07-01..9999-12-31", "year 9999 is outside 1900 to 2200"),
            ("renew_rule", "0 weeks", "no cycle"),
            ("days", "FREQ=WEEKLY;BYDAY=SA;COUNT=3", "without end"),
            ("blocked", "2027-07-14..2027-07-01", "turn them round"),
            ("zone", "Atlantis", "zone"),
            ("title", " ", "name it"),
        ],
    )
    def test_a_field_that_cannot_be_read_says_so(self, field, text, told):
        form = piece_form({"title": "Steps", "place": "x"}, CHOICES, NOW, ZONE, METRIC)
        assert told in self.filled(form, **{field: text}).faults[field]

    def test_an_interval_nobody_knows_asks_for_a_cycle(self):
        told = {"title": "Top", "place": "flat", "finish": "hardwax oil", "area_m2": 1.0}
        form = piece_form(told, CHOICES, NOW, ZONE, METRIC)
        assert "fill in Renew" in self.filled(form).together
        assert self.filled(form, stands="indoors").together == ""
        assert self.filled(form, renew_rule="yearly").together == ""

    def test_a_look_needs_a_finding(self):
        form = look_form(piece(STEPS.name), NOW, "Ane", "Try drops.")
        assert given_of(self.filled(form).values)["findings"] == (Finding.BEADS,)
        nothing = self.filled(form, water="not tried")
        assert "what was found" in nothing.together
        found = self.filled(form, water="not tried", mildew="yes", bare="yes")
        assert found.together == ""
        assert findings_of(found.values) == (Finding.BARE, Finding.MILDEW)

    def test_a_correction_starts_from_what_was_told(self):
        entry = LOGS[STEPS.name][5]
        form = look_form(piece(STEPS.name), NOW, "", "Try drops.", entry)
        given = given_of(self.filled(form).values)
        assert given["at"] == entry.at and given["findings"] == entry.findings
        entry = LOGS[STEPS.name][4]
        form = done_form(
            piece(STEPS.name), NOW, "", Measures(Units.IMPERIAL), kind=entry.kind, entry=entry
        )
        given = given_of(self.filled(form).values)
        assert (given["litres"], given["cost"], given["by"]) == (0.16, 12.5, "Ane")

    def test_what_was_done_is_read_with_units(self):
        form = done_form(piece(STEPS.name), NOW, "Ane", METRIC, kind=UpkeepKind.RENEWED)
        given = given_of(
            self.filled(form, litres="12 fl oz", cost="12,50", photos="a.jpg;b.jpg").values
        )
        assert given["litres"] == pytest.approx(0.355, abs=0.001)
        assert given["cost"] == 12.5 and given["photos"] == ("a.jpg", "b.jpg")
        assert "cost" in self.filled(form, cost="-1").faults

    def test_a_renewal_is_offered_when_it_is_near(self):
        assert usual_kind(piece(SILL.name), NOW.date()) is UpkeepKind.CLEANED
        due = piece(SILL.name).outlook.next(upkeep.Work.RENEWAL).on
        assert usual_kind(piece(SILL.name), due) is UpkeepKind.RENEWED

    def test_days_to_keep_free_need_a_day_or_a_file(self):
        form = block_form(piece(STEPS.name), NOW, 1)
        assert "name the first day" in self.filled(form).together
        one = self.filled(form, first="2027-07-01", why="guests").values
        assert stretch_of(one) == Blocked(dt.date(2027, 7, 1), dt.date(2027, 7, 1), "guests")
        assert (
            "turn them round" in self.filled(form, first="2027-07-02", last="2027-07-01").together
        )


class TestDayWords:
    @pytest.mark.parametrize(
        ("words", "rule"),
        [
            ("", ""),
            ("sat", "FREQ=WEEKLY;BYDAY=SA"),
            ("Fridays and Saturdays", "FREQ=WEEKLY;BYDAY=FR,SA"),
            ("weekends", "FREQ=WEEKLY;BYDAY=SA,SU"),
            ("first sat", "FREQ=MONTHLY;BYDAY=1SA"),
            ("FREQ=MONTHLY;BYMONTHDAY=1", "FREQ=MONTHLY;BYMONTHDAY=1"),
        ],
    )
    def test_days_are_read_and_written_back_as_they_were_meant(self, words, rule):
        assert days_reader(words)[0] == rule
        assert days_reader(rule_text(rule))[0] == rule

    @pytest.mark.parametrize(
        ("words", "rule"),
        [
            ("", ""),
            ("yearly", "FREQ=YEARLY"),
            ("every 6 months", "FREQ=MONTHLY;INTERVAL=6"),
            ("2 years", "FREQ=YEARLY;INTERVAL=2"),
            ("8 weeks", "FREQ=WEEKLY;INTERVAL=8"),
        ],
    )
    def test_cycles_too(self, words, rule):
        read = cycle_reader("as looks tell")
        assert read(words)[0] == rule and read(rule_text(rule))[0] == rule

    def test_a_rule_that_is_none_is_refused(self):
        with pytest.raises(BadInput):
            cycle_reader("")("FREQ=SOMETIMES")
        with pytest.raises(BadInput):
            days_reader("fri, someday")
