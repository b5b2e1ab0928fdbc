"""The page 'what now' in a real browser, as wide as a phone and as a desk."""

import dataclasses
import datetime as dt
import re
import shutil
import subprocess
from zoneinfo import ZoneInfo

import pytest

from finplan.calendars.page import what_now_page
from finplan.tracking.drying_now import drying_now
from finplan.tracking.due import due_items
from tests.unit.tracking.bench import ZONE, after, bench_plan, bench_request

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
MEASURE = b"""<script>addEventListener("load", () => {
const page = document.documentElement, bar = document.querySelector("progress");
document.title = [page.scrollWidth, page.clientWidth, Math.round(bar.offsetWidth),
parseFloat(getComputedStyle(document.body).fontSize), document.querySelectorAll("li").length];
})</script></html>"""


def page():
    plan, now = bench_plan(done=("sand", "coat-1", "wipe-1")), after(51)
    due = due_items(plan, now, dt.timedelta(days=1))
    long_name = dataclasses.replace(due[0], what="Second coat " + "without_a_break" * 20)
    surfaces = drying_now(plan, bench_request(), now)
    piece = dataclasses.replace(long_name, project="steps_without_a_break" * 20)
    upkeep = [(piece, ZoneInfo("Pacific/Auckland"))] * 2
    return what_now_page((*due, long_name), surfaces, upkeep, ZoneInfo(ZONE), now)


@pytest.mark.skipif(BROWSER is None, reason="needs Chromium")
@pytest.mark.parametrize("width", [500, 1280])
def test_nothing_runs_over_the_edge_and_letters_are_large_enough(width, tmp_path):
    file = tmp_path / "now.html"
    file.write_bytes(page().replace(b"</html>", MEASURE))
    seen = subprocess.run(
        [
            BROWSER,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--hide-scrollbars",
            f"--user-data-dir={tmp_path / 'profile'}",
            f"--window-size={width},900",
            "--dump-dom",
            file.as_uri(),
        ],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    ).stdout
    measured = re.search(r"<title>([\d.,]+)</title>", seen)
    assert measured, seen[:500]
    needed, there, bar, letters, items = map(float, measured[1].split(","))
    assert there == width
    assert needed <= there
    assert 300 <= bar <= there
    assert letters >= 16
    assert items == 6
