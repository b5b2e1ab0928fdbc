"""With imperial units no screen of the samples shows a metric one."""

from __future__ import annotations

import html
import re

import pytest

from finplan.tui.app import FinplanApp
from finplan.tui.shop import Shop
from tests.tools.imperial import LATER, metric_lines, worked_samples
from tests.tui.conftest import settle


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    return worked_samples(tmp_path_factory.mktemp("imperial"))


def shown(app):
    """The words on the screen, row by row."""
    drawn = re.findall(r'<text[^>]*y="([\d.]+)"[^>]*>(.*?)</text>', app.export_screenshot())
    rows = {}
    for height, words in drawn:
        plain = html.unescape(words).replace("\N{NO-BREAK SPACE}", " ")
        rows[height] = rows.get(height, "") + plain
    return list(rows.values())


async def test_no_screen_shows_a_metric_unit(data):
    app = FinplanApp(Shop(data, LATER, "imperial"))
    seen = []
    async with app.run_test(size=(130, 45)) as pilot:
        await settle(pilot)
        for key in "12345678S":
            await pilot.press(key)
            await settle(pilot)
            seen.append((app.current_mode, shown(app)))
    words = " ".join(line for _, lines in seen for line in lines)
    assert "ft²" in words
    assert "°F" in words
    # A narrow column breaks the line inside the size of a can.
    broken = re.compile(r"× 0\.375 L\s*$")
    assert "(12.7 fl oz)" in words
    found = [
        (mode, line)
        for mode, lines in seen
        for line in metric_lines(broken.sub("", line) for line in lines)
    ]
    assert found == []
