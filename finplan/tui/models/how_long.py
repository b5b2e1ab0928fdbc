"""How long a coat takes in some air: what is asked, and the answer in a line."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from finplan.trade.finishes import Finish
from finplan.tui.models.air import spaces_of
from finplan.tui.models.forms import (
    Field,
    Form,
    Understood,
    humidity_reader,
    moment_reader,
    temperature_reader,
)
from finplan.tui.models.paint import Role, line, tidy
from finplan.tui.models.view import View
from finplan.tui.models.words import GOVERNS

if TYPE_CHECKING:
    from finplan.services.dry import DryAnswer

MOST_WARNINGS = 3
"""More would push the answer off a small terminal; the air screen has them all."""


def how_long_form(view: View, finish: Finish) -> Form:
    """Ask in what air a finish dries, and what would be changed."""
    said, read = view.measures, temperature_reader(view.measures)
    spaces = tuple((space, tidy(space, 30)) for space in spaces_of(view))
    fields = (
        Field(
            "start",
            "Coat ends",
            "now",
            "now · fri 18:00 · +2h",
            moment_reader(view.now, view.zone, needed=True, past=False),
        ),
        Field("space", "Room", spaces[0][0] if spaces else "", "", choices=spaces),
        Field("temperature_c", "Air", "", f"as it is · {said.hint(9)}", _of_room(read)),
        Field("humidity_percent", "Humidity", "", "as it is · 85", _of_room(humidity_reader)),
        Field("heat_to_c", "Heated to", "", f"what if · {said.hint(18)}", _if_any(read)),
        Field("dry_to_percent", "Dried to", "", "what if · 50", _if_any(humidity_reader)),
        Field("wood_percent", "Wood", "", "14, by a meter", _of_room(humidity_reader)),
    )
    words = "With air and humidity the air stays so; without them it is the room's."
    return Form(
        f"how long:{finish.name}",
        f"How long: {tidy(finish.title, 50)}",
        fields,
        "Answer",
        (line((words, Role.QUIET)),),
    )


def answer_words(answer: DryAnswer) -> str:
    """Return the answer: its line with the caution, the air it is for, and what speaks against."""
    told = [f"{answer.in_one_line}. {GOVERNS}", f"In {answer.air_words}."]
    told += [f"▲ {warning}" for warning in answer.warnings[:MOST_WARNINGS]]
    return "\n".join(tidy(words) for words in told)


def _of_room(read: Callable[[str], Understood]) -> Callable[[str], Understood]:
    return _or_none(read, "as the room is")


def _if_any(read: Callable[[str], Understood]) -> Callable[[str], Understood]:
    return _or_none(read, "no change")


def _or_none(read: Callable[[str], Understood], words: str) -> Callable[[str], Understood]:
    return lambda text: read(text) if text.strip() else (None, words)
