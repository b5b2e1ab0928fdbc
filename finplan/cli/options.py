"""The options every verb takes, before the verb or after it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from finplan.services.session import Session


@dataclass
class Shared:
    """What ``--data``, ``--now``, ``--units`` and ``--zone`` (or the environment) said."""

    data: str | None = None
    now: str | None = None
    units: str | None = None
    zone: str | None = None


def _keep(ctx: click.Context, param: click.Parameter, value: str | None) -> None:
    told = ctx.find_root().ensure_object(Shared)
    if value is not None and param.name is not None:
        setattr(told, param.name, value)


_SHARED = (
    ("data", "FILE-OR-URL", "the database: a file, or a postgresql:// URL", None),
    ("now", "ISO-TIME", "take this as the present moment, e.g. 2026-10-14T18:00+02:00", None),
    ("units", None, "units of what is printed", ("metric", "imperial")),
    ("zone", "IANA-ZONE", "time zone of what is printed (the workshop's otherwise)", None),
)


def shared_options(*, from_environment: bool) -> list[click.Parameter]:
    """Return the shared options; the environment is read once, at the root."""
    made: list[click.Parameter] = []
    for name, metavar, about, choices in _SHARED:
        variable = f"FINPLAN_{name.upper()}"
        option = click.Option(
            [f"--{name}"],
            metavar=metavar,
            type=click.Choice(choices) if choices else str,
            help=f"{about} ({variable})",
            envvar=variable if from_environment else None,
            expose_value=False,
            callback=_keep,
        )
        made.append(option)
    return made


class _Shares(click.Command):
    """A command that also takes the shared options after its name."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.shared = shared_options(from_environment=False)

    def get_params(self, ctx: click.Context) -> list[click.Parameter]:
        """Return the verb's own parameters, the shared ones and ``--help``."""
        own = super().get_params(ctx)
        return [*own[:-1], *self.shared, *own[-1:]]

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the verb's examples below its help."""
        from finplan.cli.examples import EXAMPLES

        program, _, words = ctx.command_path.partition(" ")
        with formatter.section("Examples"):
            for example in EXAMPLES.get(words, ()):
                formatter.write(f"  {program} {example}\n")


class Verb(_Shares):
    """A verb."""


class Verbs(_Shares, click.Group):
    """A verb with verbs below it."""

    command_class = Verb


def verb(name: str) -> Callable[[Callable[..., Any]], Verb]:
    """Declare a verb of the command line."""
    return click.command(name, cls=Verb)


json_option = click.option("--json", "as_json", is_flag=True, help="print JSON for scripts")


def output_option(
    metavar: str, about: str = "the file to write", *, required: bool = True
) -> Callable[[Any], Any]:
    """Declare ``-o``, the file a verb writes; it reaches the verb as ``file``."""
    place = click.Path(path_type=Path)
    return click.option(
        "-o", "--output", "file", metavar=metavar, type=place, help=about, required=required
    )


def shared() -> Shared:
    """Return what the shared options of this call say."""
    return click.get_current_context().find_root().ensure_object(Shared)


@contextmanager
def session() -> Iterator[Session]:
    """Open the store as the shared options of this call say; the call's moment stands still."""
    from finplan.services.session import open_session

    told = shared()
    now = dt.datetime.now(dt.UTC) if told.now is None else told.now
    with open_session(told.data, now, told.units, told.zone) as opened:
        yield opened
