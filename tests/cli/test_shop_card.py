"""The shop card: every step still to be done, its cautions, a label a load, pages that hold it."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from finplan.prints.card import Card, CardDay, CardLine, card_pdf
from finplan.prints.setting import wrapped
from finplan.services.card import card_of, write_card
from finplan.services.planned import planned
from finplan.services.samples import load_sample
from finplan.services.session import open_session
from finplan.trade.errors import BadInput
from finplan.trade.quantities import Units
from finplan.trade.steps import WAITING_KINDS
from tests.tools.working import work_until

BEGINS = dt.datetime.fromisoformat("2026-10-05T17:00+02:00")


@pytest.fixture
def session(tmp_path):
    with open_session(str(tmp_path / "one.sqlite"), BEGINS) as opened:
        load_sample(opened, "oak_door")
        yield opened


def lines_of(card):
    return [line for day in card.days for line in day.lines]


def test_every_step_to_be_done_stands_on_the_card_in_order(session):
    seen = planned(session, ["oak_door"])
    lines = lines_of(card_of(seen, "oak_door", Units.METRIC))
    for step in seen.steps_of("oak_door"):
        assert any(line.what.startswith(step.title) for line in lines), step.title
    work = [step for step in seen.steps_of("oak_door") if step.kind not in WAITING_KINDS]
    assert len(lines) == sum(max(1, len(step.pieces)) for step in work) + 1


def test_what_can_hurt_stands_at_the_coats_and_in_full_at_the_top(session):
    card = card_of(planned(session, ["oak_door"]), "oak_door", Units.METRIC)
    coats = [line for line in lines_of(card) if line.what.startswith("Coat")]
    assert coats
    for line in coats:
        assert any("oily rags" in caution for caution in line.cautions)
    assert any("catch fire" in text for text in card.cautions)
    assert "label" in card.foot


def test_steps_done_are_left_out_and_coats_done_stand_on_the_label(session, tmp_path):
    until = BEGINS + dt.timedelta(days=5)
    done = work_until(str(tmp_path / "one.sqlite"), BEGINS, until, ["oak_door"])
    assert done > 4
    with open_session(str(tmp_path / "one.sqlite"), until) as later:
        card = card_of(planned(later, ["oak_door"]), "oak_door", Units.METRIC)
    assert not any(line.what.startswith("Sand") for line in lines_of(card))
    (label,) = card.labels
    assert len(label.coats) == 8
    assert label.coats[0].startswith("☑ coat 1, first side")
    assert label.coats[-1].startswith("☐ coat 4, second side")


def test_the_file_is_a_pdf_and_the_same_bytes_twice(session, tmp_path):
    file = tmp_path / "card.pdf"
    assert write_card(session, "oak_door", file)
    assert file.read_bytes().startswith(b"%PDF-")
    assert not write_card(session, "oak_door", file)


def test_only_a_pdf_is_written(session, tmp_path):
    with pytest.raises(BadInput, match=r"\.pdf"):
        write_card(session, "oak_door", tmp_path / "card.png")
    assert not (tmp_path / "card.png").exists()


def test_a_long_card_goes_on_over_pages():
    line = CardLine("18:30–19:00", "Coat 1 " * 30, ("a note " * 30,), ("mind: oily rags",))
    days = tuple(CardDay(f"day {number}", (line,) * 3) for number in range(20))
    made = card_pdf(Card("Long", (), ("mind",), days, (), "foot"))
    pages = len(re.findall(rb"/Type /Page\b", made))
    assert 6 <= pages <= 20


@pytest.mark.parametrize(
    "text", ["", "word", "two words", "x" * 400, "Ölbänke " * 60, "a$b {c} \\d"]
)
def test_wrapped_text_loses_nothing_and_fits(text):
    lines = wrapped(text, 9, 120)
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert all(len(wrapped(line, 9, 120)) == 1 for line in lines)


def test_the_paper_follows_the_units(session):
    seen = planned(session, ["oak_door"])
    metric, imperial = (card_of(seen, "oak_door", units) for units in Units)
    assert (metric.width_pt, metric.height_pt) == (595, 842)
    assert (imperial.width_pt, imperial.height_pt) == (612, 792)
    assert any("ft²" in line.what for line in lines_of(imperial))
