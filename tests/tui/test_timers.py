"""Short timers follow from the journal; copying says which way it went."""

from __future__ import annotations

import datetime as dt
import subprocess
from dataclasses import replace

import pytest

from finplan.trade.numbers import COMMON_PRACTICE, Number, Span
from finplan.trade.steps import Step, StepKind
from finplan.tui import clipboard
from finplan.tui.models.paint import Role, text_of
from finplan.tui.models.timers import timer_lines, timers
from tests.tui.demo_plan import DemoPlanned, demo_view
from tests.tui.demo_trade import BENCH, NOW, OIL, ZONE

MINUTE = dt.timedelta(minutes=1)


def oiled(ended: dt.datetime, **changes):
    """The demo with coat 3 of the first slats just done, and a wiping off after it."""
    view = demo_view()
    finish = replace(
        OIL, wipe_off_minutes=Span(15, 30, COMMON_PRACTICE), cautions=("oily rags",), **changes
    )
    coat = view.step("locust_bench/slats/1/coat-3")
    wipe = replace(
        coat,
        id="locust_bench/slats/1/wipe-3",
        step="wipe-3",
        kind=StepKind.WIPE_OFF,
        start=ended,
        end=ended + 20 * MINUTE,
        done=False,
    )
    steps = [
        replace(s, done=True, start=ended - 40 * MINUTE, end=ended) if s.id == coat.id else s
        for s in view.steps
    ]
    steps = tuple(sorted([*steps, wipe], key=lambda s: s.start))
    batch = BENCH.batches[0]
    own = Step("wipe-3", StepKind.WIPE_OFF, "Wipe off")
    project = replace(BENCH, batches=(replace(batch, steps=(*batch.steps, own)), BENCH.batches[1]))
    planned = view.planned
    made = DemoPlanned(
        replace(planned.plan, steps=steps),
        planned.workshop,
        {**planned.projects, BENCH.name: project},
        planned.progress,
        {**planned.finishes, OIL.name: finish},
    )
    return replace(view, planned=made)


def test_wiping_off_has_a_first_and_a_last_moment():
    view = oiled(NOW - 10 * MINUTE)
    wipe = next(one for one in timers(view, NOW) if one.key.startswith("wipe"))
    assert wipe.rings == NOW + 5 * MINUTE and wipe.latest == NOW + 20 * MINUTE


def test_what_was_left_out_or_coated_over_is_not_wiped_off():
    view = oiled(NOW - 10 * MINUTE)
    under = replace(view.step("locust_bench/slats/1/coat-2"), done=True, start=NOW - 90 * MINUTE,
                    end=NOW - 60 * MINUTE)  # fmt: skip
    steps = tuple(under if one.id == under.id else one for one in view.steps)
    over = [one.step.id for one in timers(with_steps(view, steps), NOW) if one.kind == "wipe"]
    assert over == ["locust_bench/slats/1/coat-3"]
    left_out = tuple(replace(one, skipped=one.done) for one in view.steps)
    assert timers(with_steps(view, left_out), NOW) == ()


def with_steps(view, steps):
    """The same view with other dated steps."""
    made = view.planned
    plan = replace(made.plan, steps=steps)
    return replace(view, planned=DemoPlanned(
        plan, made.workshop, made.projects, made.progress, made.finishes
    ))  # fmt: skip


def test_rags_are_called_to_mind_at_once_and_for_some_hours():
    view = oiled(NOW - 10 * MINUTE)
    assert any(one.key.startswith("rags") and one.rings <= NOW for one in timers(view, NOW))
    later = NOW + dt.timedelta(hours=4)
    assert not any(one.key.startswith("rags") for one in timers(view, later))


def test_pot_life_counts_from_the_start_of_the_coat():
    view = oiled(NOW - 10 * MINUTE, pot_life_hours=Number(2, COMMON_PRACTICE))
    pot = next(one for one in timers(view, NOW) if one.key.startswith("pot"))
    assert pot.rings == NOW + dt.timedelta(hours=2) - 50 * MINUTE


def test_nothing_runs_when_nothing_wet_was_done_lately():
    assert timers(demo_view(), NOW + dt.timedelta(days=9)) == ()


@pytest.mark.parametrize(
    ("minutes", "word", "role"),
    [(10, "", Role.PLAIN), (20, "now", Role.WATCH), (40, "late!", Role.BAD)],
)
def test_a_timer_says_in_words_how_pressing_it_is(minutes, word, role):
    ended = NOW - minutes * MINUTE
    view = oiled(ended)
    wipe = tuple(one for one in timers(view, NOW) if one.key.startswith("wipe"))
    runs = timer_lines(wipe, NOW, ZONE, 90)[0]
    assert text_of(runs).startswith(f"◷ {word}") and runs[0].role is role
    assert "wipe off slats 1/2" in text_of(runs)


def test_over_ssh_the_terminal_is_asked_and_no_program(monkeypatch):
    monkeypatch.setenv("SSH_CONNECTION", "1")
    taken = []
    assert "OSC 52" in clipboard.copy("rows", taken.append)
    assert taken == ["rows"]


def test_a_local_program_gets_the_text_and_is_named(monkeypatch, tmp_path):
    for variable in ("SSH_TTY", "SSH_CONNECTION"):
        monkeypatch.delenv(variable, raising=False)
    program = tmp_path / "wl-copy"
    program.write_text(f'#!/bin/sh\n/bin/cat > "{tmp_path}/out"\n')
    program.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setenv("WAYLAND_DISPLAY", "wayland-0")
    assert clipboard.copy("rows", lambda text: None) == "with wl-copy"
    assert (tmp_path / "out").read_text() == "rows"


def test_a_program_that_fails_leaves_it_to_the_terminal(monkeypatch):
    monkeypatch.setattr(clipboard, "local_program", lambda environment: ("gone",))

    def broken(*args, **kwargs):
        raise subprocess.CalledProcessError(1, "gone")

    monkeypatch.setattr(subprocess, "run", broken)
    taken = []
    assert "OSC 52" in clipboard.copy("rows", taken.append) and taken == ["rows"]
