"""How to read what a project file only names: cut lists, schedules, air logs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from finplan.air.series import series_of
from finplan.services.reading import read_bytes
from finplan.trade.errors import BadInput
from finplan.trade.names import did_you_mean
from finplan.trade.numbers import Number
from finplan.trade.schedules import Scuffing, Sides, expand

if TYPE_CHECKING:
    from finplan.air.series import AirSeries
    from finplan.files.project_file import Besides
    from finplan.trade.finishes import Finish
    from finplan.trade.parts import Part
    from finplan.trade.steps import Step

BY_HAND = "stated in the project's own schedule"
"""The source of a number a person wrote over a template's."""


def besides_of(folder: Path, finishes: Mapping[str, Finish], said: list[str]) -> Besides:
    """Return the readers for a project file that lies in ``folder``.

    Args:
        folder: where the files lie that the project file names.
        finishes: by name.
        said: takes what is to be told of the files, such as gaps in an air log.
    """
    from finplan.files.project_file import Besides

    def cut_list(name: str) -> tuple[Part, ...]:
        from finplan.trade.cutlist import read_cut_list

        return read_cut_list(read_bytes(folder / name), name)

    def schedule(template: str, options: Mapping[str, object]) -> tuple[Step, ...]:
        return schedule_of(template, options, finishes)

    def air_log(name: str, zone: str) -> AirSeries:
        from finplan.air.logger import read_air_log

        log = read_air_log(read_bytes(folder / name), name, zone)
        said.extend(log.warnings)
        return series_of(log.readings)

    return Besides(cut_list, schedule, air_log)


def schedule_of(
    template: str, options: Mapping[str, object], finishes: Mapping[str, Finish]
) -> tuple[Step, ...]:
    """Return the steps of a template, with what a person wrote over it.

    Args:
        template: the finishing schedule's name.
        options: ``finish``, ``coats``, ``method``, ``sides``, ``prepare``, ``grits``,
            ``raise_grain_hours``, ``seal_first``, ``scuffing``, ``scuff_grit``,
            ``cure_before_install``, ``assemble``, ``install``, ``release``.
        finishes: by name.

    Raises:
        BadInput: an unknown template, option or finish, or an option of the wrong kind.
    """
    from finplan.library.load import find_finish, find_template

    base = find_template(template)
    changes: dict[str, Any] = {}
    for name, value in options.items():
        if name not in _OPTIONS:
            near = did_you_mean(name, _OPTIONS) or f": there are {', '.join(_OPTIONS)}"
            raise BadInput(f"there is no option {name[:40]!r}{near}", template)
        changes[name] = _OPTIONS[name](value, name)
    made = replace(base, **changes)
    return expand(made, find_finish(made.finish, finishes, "finish"))


def _text(value: object, name: str) -> str:
    if not isinstance(value, str):
        raise BadInput("give a text in quotes", name)
    return value


def _texts(value: object, name: str) -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        raise BadInput('give a list of texts, like ["P120", "P180"]', name)
    return tuple(value)


def _truth(value: object, name: str) -> bool:
    if not isinstance(value, bool):
        raise BadInput("give true or false", name)
    return value


def _count(value: object, name: str) -> Number:
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= 20:
        raise BadInput("give a whole number from 1 to 20", name)
    return Number(value, BY_HAND)


def _hours(value: object, name: str) -> Number:
    if not isinstance(value, int | float) or isinstance(value, bool) or not 0 <= value <= 1000:
        raise BadInput("give hours from 0 to 1000", name)
    return Number(float(value), BY_HAND)


def _sides(value: object, name: str) -> Sides:
    if value not in tuple(Sides):
        raise BadInput(f"give one of {', '.join(Sides)}", name)
    return Sides(str(value))


def _scuffing(value: object, name: str) -> Scuffing:
    if value not in tuple(Scuffing):
        raise BadInput(f"give one of {', '.join(Scuffing)}", name)
    return Scuffing(str(value))


_OPTIONS: dict[str, Callable[[object, str], Any]] = {
    "finish": _text,
    "coats": _count,
    "method": _text,
    "sides": _sides,
    "prepare": _text,
    "grits": _texts,
    "raise_grain_hours": _hours,
    "seal_first": _truth,
    "scuffing": _scuffing,
    "scuff_grit": _text,
    "cure_before_install": _truth,
    "assemble": _truth,
    "install": _truth,
    "release": _truth,
}
