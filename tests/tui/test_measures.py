"""Screens in the units that the session asks for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from finplan.trade.errors import BadInput
from finplan.trade.quantities import Units
from finplan.tui.models import (
    air,
    bench,
    coats,
    edits,
    finishes,
    forms,
    journal,
    project,
    schedule,
    start,
)
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import text_of
from finplan.tui.shop import Shop
from tests.tui.conftest import settle
from tests.tui.demo_plan import demo_view
from tests.tui.demo_shop import DemoShop
from tests.tui.demo_trade import BENCH, OIL

METRIC, IMPERIAL = Measures(), Measures(Units.IMPERIAL)


def imperial_view():
    return replace(demo_view(), measures=IMPERIAL)


def words(lines):
    return "\n".join(text_of(one) for one in lines)


class TestMeasures:
    # One foot is 304.8 mm, one US gallon 231 cubic inches, by definition.
    @pytest.mark.parametrize(
        ("metric", "imperial", "said"),
        [
            ("1400 × 52 × 25.4 mm", "55 1/8 × 2 1/16 × 1 in", lambda m: m.size((1400, 52, 25.4))),
            ("3.4", "37", lambda m: m.bare_area(3.4)),
            ("0.5", "5.4", lambda m: m.bare_area(0.5)),
            ("0.93 m²", "10 ft²", lambda m: m.area(0.9290304, 2)),
            ("12", "1.1", lambda m: m.minutes_per_area(12)),
            ("3.79 l", "1 gal", lambda m: m.volume(3.785411784)),
            ("0.75 l", "0.75 L (25.4 fl oz)", lambda m: m.can(0.75)),
            ("11.4 °C", "52.5 °F", lambda m: m.temperature(11.4)),
            ("-40.0 °C", "-40.0 °F", lambda m: m.temperature(-40)),
            ("10 °C", "50 °F", lambda m: m.limit(10)),
        ],
    )
    def test_a_value_is_written_in_both(self, metric, imperial, said):
        assert (said(METRIC), said(IMPERIAL)) == (metric, imperial)


class TestModels:
    def test_lists_name_square_feet_and_hold_them(self):
        view = imperial_view()
        for table in (bench.todo_table(view), coats.step_table(view, BENCH.name)):
            at = [column.title for column in table.columns].index("ft²")
            assert {row.cells[at].text for row in table.rows} <= {"37", "12", "20", ""}
            assert any(row.cells[at].text for row in table.rows)

    def test_parts_are_in_inches_and_steps_by_the_square_foot(self):
        parts = project.part_table(BENCH, IMPERIAL)
        assert [cell.text for cell in parts.rows[0].cells[2:5]] == ["55 1/8", "2 1/16", "15/16"]
        steps = schedule.schedule_table(replace(demo_view(), measures=IMPERIAL), BENCH)
        assert steps.columns[-1].title == "min/ft²" and steps.rows[0].cells[-1].text == "1.1"

    def test_the_air_is_in_fahrenheit_with_its_dew_point(self):
        view = imperial_view()
        for lines in (
            bench.air_lines(view.overview.air, view, 100, 9),
            air.air_words(view, "shed", 60),
        ):
            assert "52.5 °F" in words(lines) and "45.9 °F" in words(lines)
            assert "11.4" not in words(lines)

    def test_the_scale_of_the_air_chart_covers_the_same_air_in_both(self):
        low, high = [], []
        for view in (demo_view(), imperial_view()):
            labels = [
                int(text.split("°")[0])
                for text in map(text_of, air.air_chart(view, "shed", 80, 30))
                if "°" in text[:6]
            ]
            high.append(max(labels)), low.append(min(labels))
        assert high[1] == pytest.approx(high[0] * 1.8 + 32, abs=2)
        assert low[1] == pytest.approx(low[0] * 1.8 + 32, abs=2)

    def test_a_finish_says_its_limits_in_fahrenheit(self):
        assert finishes.finish_table((OIL,), IMPERIAL).rows[0].cells[4].text == "50 °F"
        assert "At 73 °F" in words(finishes.finish_lines(OIL, (), (), (), 80, IMPERIAL))


class TestForms:
    def test_a_bare_temperature_is_fahrenheit_and_echoed_so(self):
        value, echo = forms.temperature_reader(IMPERIAL)("50")
        assert value == pytest.approx(10) and echo == "= 50.0 °F"
        assert forms.temperature_reader(METRIC)("10") == (10, "= 10.0 °C")
        with pytest.raises(BadInput):
            forms.temperature_reader(IMPERIAL, needed=True)("")

    def test_amounts_are_echoed_in_the_units(self):
        assert forms.amount_reader(IMPERIAL)("0.75 l")[1] == "= 25.4 fl oz"
        assert forms.amount_reader(METRIC)("0.75 l")[1] == "= 750 ml"

    def test_bare_sizes_and_racks_are_inches_and_square_feet(self):
        sizes, echo = start.size_reader("10 x 2 x 1", IMPERIAL)
        assert sizes == pytest.approx((254, 50.8, 25.4)) and echo == "= 10 × 2 × 1 in"
        assert start.area_reader("10", IMPERIAL) == (pytest.approx(0.9290304), "= 10 ft²")

    def test_a_part_sent_unchanged_keeps_its_size_to_the_last_digit(self):
        part = BENCH.parts[0]
        size = next(f for f in edits.part_form(BENCH, part, IMPERIAL).fields if f.key == "size")
        assert size.initial == "55 1/8 x 2 1/16 x 15/16 in"
        assert size.read(size.initial)[0] == (1400, 52, 24)
        assert size.read("10 x 2 x 1 in")[0] == pytest.approx((254, 50.8, 25.4))

    def test_the_journal_tells_measures_in_the_units(self):
        view = imperial_view()
        entry = next(one for one in view.entries if "amount_l" in one.details)
        told = journal.details(entry, IMPERIAL)
        assert "54.5 °F" in told and "10.5 fl oz" in told and "71 % RH" in told


async def test_the_bench_and_the_parts_follow_the_units(opened):
    async with opened(DemoShop(imperial_view())) as pilot:
        shown = pilot.app.export_screenshot()
        assert "52.5" in shown and "°C" not in shown
        await pilot.press("3")
        await settle(pilot)
        assert "55" in pilot.app.export_screenshot()
        panel = pilot.app.screen.query_one("#parts-panel")
        assert "pieces · in" in panel.border_title


def test_the_shop_reads_in_the_units_it_was_opened_with(tmp_path):
    shop = Shop(str(tmp_path / "shop.db"), "2026-10-13T18:40:00+02:00", "imperial")
    assert shop.read().measures == IMPERIAL


def test_a_long_name_of_a_space_leaves_the_air_whole():
    view = imperial_view()
    (item,) = view.overview.air
    long = replace(item, space="The long boathouse loft")
    for width in (34, 39, 60, 100):
        head = text_of(bench.space_lines(long, view, width)[0])
        assert "52.5 °F 78 %" in head and "45.9" in head, (width, head)
        assert len(head) <= width
