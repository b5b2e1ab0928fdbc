"""``chart`` and ``card``: the plan as a picture, and on paper."""

from __future__ import annotations

from pathlib import Path

import click

from finplan.cli.options import output_option, session, verb
from finplan.cli.output import say_written
from finplan.trade.errors import BadInput


@verb("chart")
@click.argument("projects", metavar="[PROJECT]...", nargs=-1)
@click.option("--coat", "step", metavar="STEP", help="draw how this coat dries, not the plan")
@output_option("FILE.svg", "the file to write, .svg or .png")
def chart_verb(projects: tuple[str, ...], step: str | None, file: Path) -> None:
    """Draw the plan as a timeline, or with --coat how one coat dries.

    Without PROJECT all projects of the workshop with the next work are drawn.
    """
    from finplan.services.prints import write_drying_chart, write_plan_chart

    with session() as opened:
        if step is None:
            written = write_plan_chart(opened, projects, file)
        elif len(projects) == 1:
            written = write_drying_chart(opened, projects[0], step, file)
        else:
            raise BadInput("name the one project the coat belongs to", "--coat")
    say_written(file, written)


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
