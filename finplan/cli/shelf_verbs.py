"""``materials`` and ``finishes``: what to buy, and what is known of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from finplan.cli.options import json_option, session, verb
from finplan.cli.output import heading, paragraph, print_json, say, table
from finplan.trade.errors import BadInput
from finplan.trade.quantities import format_area, format_can, format_temperature, format_volume

if TYPE_CHECKING:
    from finplan.services.materials import FinishNeed, Materials
    from finplan.trade.finishes import Finish
    from finplan.trade.quantities import Units


@verb("materials")
@click.argument("project")
@json_option
def materials_verb(project: str, as_json: bool) -> None:
    """Print litres, cans and cost of a project.

    Litres are the likely need without waste; the cans cover the safe need with waste, of what is
    still to be done.
    """
    from finplan.services.materials import materials

    with session() as opened:
        needed = materials(opened, project)
        if as_json:
            print_json(_materials_json(needed))
            return
        _print_materials(needed, opened.units)


def _materials_json(needed: Materials) -> dict[str, Any]:
    return {
        "project": needed.project.name,
        "area_m2": round(needed.area_m2, 4),
        "finishes": [
            {
                "finish": one.finish.name,
                "coats": [
                    {
                        "coat": coat.coat,
                        "area_m2": round(coat.area_m2, 4),
                        "litres": round(coat.litres, 4),
                    }
                    for coat in one.coats
                ],
                "litres": round(one.litres, 4),
                "litres_to_buy": round(one.litres_to_buy, 4),
                "cans": [
                    {"litres": size, "count": count} for size, count in sorted(one.cans.items())
                ],
                "cost": None if one.cost is None else round(one.cost, 2),
            }
            for one in needed.finishes
        ],
    }


def _print_materials(needed: Materials, units: Units) -> None:
    heading(f"{needed.project.title} ({needed.project.name})")
    say(f"  surface to be finished: {format_area(needed.area_m2, units)}")
    for one in needed.finishes:
        say()
        heading(f"{one.finish.title} ({one.finish.name})")
        rows = [
            (
                f"coat {coat.coat}" if coat.coat else "sealing",
                format_area(coat.area_m2, units),
                format_volume(coat.litres, units),
            )
            for coat in one.coats
        ]
        rows.append(("all coats", "", format_volume(one.litres, units)))
        table(("coat", "area", "likely need"), rows, right=(1, 2))
        _print_buying(one, units)
    if not needed.finishes:
        say("  no step of it puts on a finish yet")


def _print_buying(one: FinishNeed, units: Units) -> None:
    if one.used_l:
        say(f"  used so far: {format_volume(one.used_l, units)}")
    say(f"  still to go on: {format_volume(one.left_l, units)} (likely)")
    paragraph(
        f"to buy: {format_volume(one.litres_to_buy, units)} (safe need of what is to come, waste "
        "included)",
        "  ",
        "  ",
    )
    for size, count in sorted(one.cans.items(), reverse=True):
        say(f"    {count} × {format_can(size, units)}")
    over = sum(size * count for size, count in one.cans.items()) - one.left_l
    if one.cans:
        say(f"    about {format_volume(over, units)} stays in the cans")
    if one.cost is not None:
        say(f"    costs {one.cost:.2f}")


@verb("finishes")
@click.argument("name", nargs=-1)
@click.option(
    "--add",
    "file",
    metavar="FILE.toml",
    type=click.Path(path_type=Path),
    help="take finishes of your own from their labels",
)
@click.option("--remove", is_flag=True, help="remove the finish of your own called NAME")
@json_option
def finishes_verb(name: tuple[str, ...], file: Path | None, remove: bool, as_json: bool) -> None:
    r"""List the finishes; with NAME every number of one, with its source.

    A finish of your own takes the place of the library's of the same name. Its file holds what
    the label says; all but "like" may be left out:

    \b
      [finish."shed oil"]
      like = "penetrating oil"
      spread = "350 ft²/gal"
      cans = ["1 qt", "1 gal"]
      price = "38.50 per qt"
      coldest = "50 °F"
      [finish."shed oil".label]
      touch = "6 h"
      recoat = "12-24 h"
      window = "3 d"
      cure = "10 d"
      temperature = "70 °F"
    """
    if file is not None or remove:
        _change_own(" ".join(name), file, remove)
        return
    from finplan.services.finishes import finish_named, list_finishes

    with session() as opened:
        if name:
            found = finish_named(opened, " ".join(name))
            if as_json:
                print_json(_finish_json(found))
            else:
                _print_finish(found, opened.units)
            return
        listed = list_finishes(opened)
    if as_json:
        print_json(
            {"finishes": [{"name": one.name, "chemistry": one.chemistry.value} for one in listed]}
        )
        return
    rows = [
        (one.name + (" (own)" if one.own else ""), one.chemistry.value, one.title) for one in listed
    ]
    table(("name", "chemistry", "what it is"), rows, wrap=2)


def _change_own(name: str, file: Path | None, remove: bool) -> None:
    from finplan.services.finishes import add_own, remove_own

    if (file is not None) == remove or (name == "") == remove:
        raise BadInput("give --add FILE.toml alone, or a name with --remove", "finishes")
    with session() as opened:
        if file is None:
            remove_own(opened, name)
            say(f"{name}: removed")
            return
        for finish in add_own(opened, file):
            say(f"{finish.name}: kept as your own")


def _finish_json(finish: Finish) -> dict[str, Any]:
    from finplan.trade.plain import to_plain

    return {"name": finish.name, "chemistry": finish.chemistry.value, **to_plain(finish)}


def _print_finish(finish: Finish, units: Units) -> None:
    from finplan.library.load import cautions
    from finplan.services.finishes import facts_of

    heading(f"{finish.title} ({finish.name})")
    paragraph(f"{finish.chemistry.value}; {finish.about}", "  ", "  ")
    say()
    facts = facts_of(finish, units)
    width = max(len(fact.name) for fact in facts)
    value = max(len(fact.value) for fact in facts)
    for fact in facts:
        lead = f"  {fact.name:<{width}}  {fact.value:<{value}}  "
        paragraph(fact.source, " " * len(lead), lead)
    say()
    warmth = format_temperature(23, units)
    say(f"  hours are at {warmth} and 50 % RH; the higher number is the safe one")
    for key in finish.cautions:
        text = cautions()[key].text if key in cautions() else key.replace("-", " ")
        paragraph(text, "  ", "! ")
    for name, note in finish.notes.items():
        paragraph(f"{name.replace('_', ' ')}: {note}", "    ", "  ")
