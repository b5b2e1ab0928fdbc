"""The air of a space over the days: temperature and dew point, humidity, hours good to coat."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np

from finplan.air.psychrometrics import dew_point_c
from finplan.air.series import AirSource, steps_at
from finplan.drying.limits import may_coat
from finplan.trade.finishes import Finish
from finplan.tui.models.chart import SCALE, Curve, Level, plot
from finplan.tui.models.forms import Field, Form, Understood, moment_reader, temperature_reader
from finplan.tui.models.paint import Line, Role, Run, cut, line, tidy, width_of, wrap
from finplan.tui.models.scale import ZOOMS, Window, scale_lines, window_at, with_now
from finplan.tui.models.times import moment
from finplan.tui.models.view import View

if TYPE_CHECKING:
    from finplan.air.series import AirSeries

LEAST_MINUTES = 6 * 24 * 60
SOURCE_MARKS = {
    AirSource.READING: ("━", Role.GOOD),
    AirSource.FORECAST: ("─", Role.WET),
    AirSource.NORMALS: ("┄", Role.QUIET),
    AirSource.CONSTANT: ("┄", Role.QUIET),
}


SOURCES_TOLD = "from ━ readings ─ forecast ┄ monthly normals"


def spaces_of(view: View) -> tuple[str, ...]:
    """Return the spaces of the workshop, those in use first."""
    if view.planned is None:
        return ()
    used = [one.space for one in view.overview.air if one.advice] if view.overview else []
    return tuple(dict.fromkeys(used + [space.name for space in view.planned.workshop.spaces]))


def finishes_in(view: View, space: str) -> tuple[Finish, ...]:
    """Return the finishes that still go on in a space, by name."""
    if view.planned is None:
        return ()
    names = set()
    for step in view.steps:
        own = view.as_made(step) if step.space == space and not step.done else None
        if own is not None and own.finish:
            names.add(own.finish)
    return tuple(view.planned.finishes[name] for name in sorted(names))


TALLEST = 60
"""Lines that both plots take at most, however much room there is."""


def air_window(view: View, cells: int) -> Window:
    """Return a window of some days around now, the first day past."""
    minutes = next(
        (zoom for zoom in ZOOMS if zoom >= 30 and zoom * cells >= LEAST_MINUTES), ZOOMS[-1]
    )
    lead = min(24 * 60 // minutes, cells // 4)
    return window_at(view.now, view.zone, minutes, cells, lead)


def air_chart(view: View, space: str, width: int, height: int) -> tuple[Line, ...]:
    """Return both plots with their time scale, the good hours and the sources."""
    air = view.planned.air.get(space) if view.planned else None
    cells = width - SCALE
    if air is None or cells < 10:
        return wrap("There is no workshop yet whose air is known: N begins a project.", width)
    window = air_window(view, cells)
    finishes = finishes_in(view, space)
    fixed = 5 + 2 * len(finishes)
    height = min(height, fixed + TALLEST)
    upper = max((height - fixed) * 3 // 5, 3)
    lower = max(height - fixed - upper, 3)
    dots = window.start_s + (np.arange(cells * 2) + 0.5) * window.cell_s / 2
    index = steps_at(air, dots)
    warm, damp = air.temperature_c[index], air.humidity_percent[index]
    dew, degrees = dew_point_c(warm, damp), view.measures.degrees
    cold = sorted({degrees(finish.refuse_below_c.value) for finish in finishes})
    wet = sorted({f.dampest_air_percent.value for f in finishes if f.dampest_air_percent})
    lines: list[Line] = [_legend(bool(cold))]
    curves = [
        Curve([degrees(value) for value in dew.tolist()], Role.WET, 3),
        Curve([degrees(value) for value in warm.tolist()], Role.WORK),
    ]
    lines += plot(curves, [Level(value, Role.BAD) for value in cold], cells, upper, "°")
    lines.append(
        line(("humidity", Role.GOOD), ("  ⠒ ⠒ the dampest a finish bears" if wet else "", Role.BAD))
    )
    levels = [Level(value, Role.BAD) for value in wet]
    lines += plot([Curve(damp.tolist(), Role.GOOD)], levels, cells, lower, "%", most=100.0)
    lines += _time_lines(view, window)
    lines.append(_source_line(air, window))
    lines += [runs for finish in finishes for runs in _good_lines(finish, air, window)]
    return tuple(cut(runs, width) for runs in lines)


def _legend(limits: bool) -> Line:
    return line(
        ("temperature", Role.WORK),
        ("  ⠂ ⠂ dew point", Role.WET),
        ("  ⠒ ⠒ too cold for a finish" if limits else "", Role.BAD),
    )


def _time_lines(view: View, window: Window) -> tuple[Line, ...]:
    upper, lower = scale_lines(window, view.zone)
    pad = " " * SCALE
    marked = with_now(lower, window.cell(view.now.timestamp()), window.width)
    return line(pad, *marked), line(pad, *upper)


def _source_line(air: AirSeries, window: Window) -> Line:
    starts = window.start_s + (np.arange(window.width, dtype=np.float64) + 0.5) * window.cell_s
    index = steps_at(air, starts)
    marks = [SOURCE_MARKS[tuple(AirSource)[int(code)]] for code in air.source[index]]
    runs = [
        Run("".join(mark for mark, _ in group), role)
        for role, group in groupby(marks, key=lambda pair: pair[1])
    ]
    return line(("from  ", Role.QUIET), *runs)


def _good_lines(finish: Finish, air: AirSeries, window: Window) -> tuple[Line, Line]:
    """Return a finish's name, and the hours in which it may go on as a strip."""
    starts = np.asarray(
        window.start_s + (np.arange(window.width) + 0.5) * window.cell_s, dtype=np.float64
    )
    allowed = may_coat(finish, air, starts).tolist()
    runs = [
        Run(("█" if good else "·") * len(list(group)), Role.GOOD if good else Role.QUIET)
        for good, group in groupby(allowed)
    ]
    pad = " " * SCALE
    name = line(pad, (tidy(finish.title, 60), Role.STRONG), (" may go on", Role.QUIET))
    return name, line(pad, *runs)


def air_words(view: View, space: str, width: int) -> tuple[Line, ...]:
    """Return what the air now means: measures, go or wait with the reason, the marks."""
    now = next((a for a in view.overview.air if a.space == space), None) if view.overview else None
    if now is None:
        return ()
    measures = line(
        (view.measures.temperature(now.temperature_c), Role.STRONG),
        f" {now.humidity_percent:.0f} % humidity",
    )
    dew = f"dew point {view.measures.temperature(now.dew_point_c)}"
    wood = f"wood tends to {now.emc_percent:.1f} % moisture"
    source = Run(f" · {now.source}", Role.QUIET)
    short = line((measures[0].text, Role.STRONG), f" {now.humidity_percent:.0f} %")
    lines: list[Line] = [(*short, Run(f" · {dew} · {wood}"), source)]
    if width_of(lines[0]) > width:
        lines = [measures, line(dew, source), line(wood), ()]
    for advice in now.advice:
        if advice.allowed:
            lines.append(line(("✓ go    ", Role.GOOD), tidy(advice.finish, 60)))
        else:
            lines.append(line(("✗ wait  ", Role.BAD), tidy(advice.finish, 60)))
            for reason in advice.reasons:
                lines += wrap(tidy(reason), width, Role.QUIET, indent="  ")
    if now.advice:
        lines += [(), *wrap("strip: █ a coat may go on, · better not", width, Role.QUIET)]
    return tuple(lines)


def reading_form(view: View, space: str) -> Form:
    """Ask temperature and humidity of a space."""
    fields = (
        Field(
            "temperature_c",
            "Warmth",
            "",
            "18 C · 65F",
            temperature_reader(view.measures, needed=True),
        ),
        Field("humidity_percent", "Humidity", "", "55", _needed_humidity),
        Field(
            "at",
            "Read at",
            "now",
            "now · today 18:00 · -2h",
            moment_reader(view.now, view.zone, needed=True),
        ),
    )
    about = f"In {tidy(space, 40)}, {moment(view.now, view.zone, view.now)}"
    return Form(
        f"reading:{space}", "Reading of the air", fields, "Keep", (line((about, Role.QUIET)),)
    )


def _needed_humidity(text: str) -> Understood:
    from finplan.trade.quantities import parse_humidity

    percent = parse_humidity(text, "")
    return percent, f"= {percent:.0f} %"
