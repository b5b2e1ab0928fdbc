"""Pictures of the years of upkeep and of litres: what is in them, and the same bytes twice."""

from __future__ import annotations

import datetime as dt
import xml.etree.ElementTree as ET

import pytest

from finplan.prints.figures import Kind
from finplan.prints.litres_chart import LitresBar, LitresPicture, litres_chart
from finplan.prints.upkeep_chart import MOST_ROWS, PieceYears, UpkeepPicture, upkeep_chart
from finplan.tracking.upkeep.pieces import UpkeepKind, Work
from finplan.tracking.upkeep.totals import YearTotals
from finplan.trade.errors import BadInput
from finplan.trade.quantities import Units

STEPS = PieceYears(
    "Steps of the jetty, lake house",
    [(dt.date(2026, 5, 9), UpkeepKind.RENEWED), (dt.date(2026, 9, 1), UpkeepKind.INSPECTED)],
    [(dt.date(2027, 5, 1), Work.RENEWAL), (dt.date(2027, 9, 1), Work.CLEANING)],
)
YEARS = (
    YearTotals(2026, {"oil": 0.16}, {}, 12.5, 0.0, 0, 0.0),
    YearTotals(2027, {}, {"oil": 0.15}, 0.0, 6.0, 2, 60.0),
)
PICTURE = UpkeepPicture([STEPS], YEARS, dt.date(2026, 10, 14))


def texts(svg):
    return [
        "".join(node.itertext())
        for node in ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")
    ]


def test_the_years_show_each_piece_and_what_a_year_takes():
    said = texts(upkeep_chart(PICTURE, Kind.SVG))
    assert "Upkeep 2026 to 2027" in said and "Steps of the jetty, lake house" in said
    assert {"2026", "2027", "2.5 d", "2 visits", "cost 6", "cost 12"} <= set(said)
    assert any(words.startswith("As of Wed 14 Oct 2026.") for words in said)


@pytest.mark.parametrize("label", ["50 $ & 20 $ <b>bench</b>", "\\frac{1}{", "x" * 5000])
def test_odd_names_stay_text_and_the_same_years_give_the_same_bytes(label):
    picture = UpkeepPicture([PieceYears(label, STEPS.done, STEPS.coming)], YEARS, PICTURE.today)
    svg = upkeep_chart(picture, Kind.SVG)
    assert any(words.startswith(label[:30]) for words in texts(svg))
    assert svg == upkeep_chart(picture, Kind.SVG)
    assert upkeep_chart(picture, Kind.PNG).startswith(b"\x89PNG\r\n\x1a\n")


def test_more_pieces_than_can_be_told_apart_are_refused():
    upkeep_chart(UpkeepPicture([STEPS] * MOST_ROWS, YEARS, PICTURE.today), Kind.SVG)
    with pytest.raises(BadInput, match="can't be told apart"):
        upkeep_chart(UpkeepPicture([STEPS] * (MOST_ROWS + 1), YEARS, PICTURE.today), Kind.SVG)


BARS = (
    LitresBar("2026", {"oil": 0.16, "varnish": 0.04}),
    LitresBar("2027", {}, {"oil": 0.15}),
    LitresBar("2028"),
)


def test_litres_are_told_by_finish_used_and_to_come():
    said = texts(litres_chart(LitresPicture("Finish for upkeep", BARS), Kind.SVG))
    assert {"oil, used", "oil, to come", "varnish, used"} <= set(said)
    assert "varnish, to come" not in said
    assert {"2026", "2027", "2028", "0.2 L", "0.15 L", "litres"} <= set(said)


def test_litres_that_are_all_to_come_need_no_second_word():
    bars = [LitresBar(f"coat {number}", coming_l={"oil": 0.1}) for number in range(1, 20)]
    said = texts(litres_chart(LitresPicture("Bench", bars), Kind.SVG))
    assert "oil" in said and not any("to come" in words for words in said)


@pytest.mark.parametrize(("litres", "unit"), [(0.2, "US fluid ounces"), (9.0, "US gallons")])
def test_imperial_litres(litres, unit):
    bars = [LitresBar("2027", coming_l={"oil": litres})]
    svg = litres_chart(LitresPicture("Oil", bars, units=Units.IMPERIAL), Kind.SVG)
    assert unit in texts(svg)
    assert svg == litres_chart(LitresPicture("Oil", bars, units=Units.IMPERIAL), Kind.SVG)


def test_nothing_to_draw_is_said():
    with pytest.raises(BadInput, match="nothing to draw"):
        litres_chart(LitresPicture("Oil", [LitresBar("2027")]), Kind.SVG)
    many = [LitresBar(str(number), {"oil": 1.0}) for number in range(200)]
    with pytest.raises(BadInput, match="200 bars"):
        litres_chart(LitresPicture("Oil", many), Kind.SVG)
