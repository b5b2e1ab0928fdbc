"""``chart`` and ``card``: the plan as a picture, and on paper."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from finplan.cli.options import output_option, session, verb
from finplan.cli.output import say_written
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from finplan.services.session import Session


@verb("chart")
@click.argument("projects", metavar="[PROJECT]...", nargs=-1)
@click.option("--coat", "step", metavar="STEP", help="draw how this coat dries, not the plan")
@click.option("--litres", is_flag=True, help="draw litres: of each coat, or of upkeep by year")
@click.option("--upkeep", is_flag=True, help="draw the years of the pieces in use, not the plan")
@click.option(
    "--years", type=int, default=5, show_default=True, help="with --upkeep or --litres: so far"
)
@output_option("FILE.svg", "the file to write, .svg or .png")
def chart_verb(projects: tuple[str, ...], step: str | None, file: Path, **asked: Any) -> None:
    """Draw the plan as a timeline, how a coat dries, litres, or the years of upkeep.

    Without PROJECT all projects of the workshop with the next work are drawn; with --litres the
    finish that the upkeep of the pieces in use takes.
    """
    from finplan.services.prints import write_drying_chart, write_plan_chart

    _check_one_picture(projects, step, asked)
    with session() as opened:
        if asked["upkeep"] or asked["litres"]:
            written = _write_years(opened, projects, file, asked)
        elif step is None:
            written = write_plan_chart(opened, projects, file)
        elif len(projects) == 1:
            written = write_drying_chart(opened, projects[0], step, file)
        else:
            raise BadInput("name the one project the coat belongs to", "--coat")
    say_written(file, written)


def _check_one_picture(projects: tuple[str, ...], step: str | None, asked: dict[str, Any]) -> None:
    chosen = [step is not None, asked["litres"], asked["upkeep"]]
    if sum(chosen) > 1:
        raise BadInput("give one of --coat, --litres and --upkeep: a picture shows one", "chart")
    if asked["upkeep"] and projects:
        raise BadInput("the years of upkeep are those of all pieces: leave PROJECT out", "--upkeep")


def _write_years(
    opened: Session, projects: tuple[str, ...], file: Path, asked: dict[str, Any]
) -> bool:
    from finplan.services.year_prints import (
        write_coat_litres,
        write_upkeep_chart,
        write_upkeep_litres,
    )

    if asked["upkeep"]:
        return write_upkeep_chart(opened, asked["years"], file)
    if projects:
        return write_coat_litres(opened, projects, file)
    return write_upkeep_litres(opened, asked["years"], file)


@verb("card")
@click.argument("project")
@output_option("FILE.pdf")
def card_verb(project: str, file: Path) -> None:
    """Write a shop card to print: steps with boxes to tick, cautions, labels for the rack.

    The paper is A4, or letter with --units imperial.
    """
    from finplan.services.card import write_card

    with session() as opened:
        written = write_card(opened, project, file)
    say_written(file, written)
