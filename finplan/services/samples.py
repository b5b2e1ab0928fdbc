"""Sample projects that travel with the program."""

from __future__ import annotations

import datetime as dt
import tomllib
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from finplan.services.projects import Loaded, load_file
from finplan.services.saved_pieces import pieces_with
from finplan.trade.errors import BadInput
from finplan.trade.names import did_you_mean, shown

if TYPE_CHECKING:
    from finplan.services.session import Session


@dataclass(frozen=True, slots=True)
class Sample:
    """A sample: its name, what it is about, its file, and the moment it was invented for."""

    name: str
    about: str
    file: Path
    as_of: dt.datetime | None


def samples() -> tuple[Sample, ...]:
    """Return the samples by name."""
    return tuple(_sample(file) for file in sorted(samples_folder().rglob("*.toml")))


def samples_folder() -> Path:
    """Return the folder of the samples: inside an installed package, or the checkout's."""
    packaged = Path(str(resources.files("finplan"))) / "_sample_projects"
    return packaged if packaged.is_dir() else Path(__file__).parents[2] / "sample_projects"


def sample_named(name: str) -> Sample:
    """Return one sample.

    Raises:
        BadInput: there is none of this name; the nearest is offered.
    """
    found = {one.name: one for one in samples()}
    if name not in found:
        near = did_you_mean(name, found) or f": there are {', '.join(found)}"
        raise BadInput(f"there is no sample {shown(name)}{near}")
    return found[name]


def load_sample(session: Session, name: str, *, again: bool = False) -> Loaded:
    """Load a sample project.

    Args:
        session: the open session.
        name: the sample's name.
        again: where it is there already, set it back to what the sample says (its journal
            stays); otherwise it is left as it is.

    Raises:
        BadInput: there is no such sample.
    """
    sample = sample_named(name)
    with session.store.unit(writes=False) as unit:
        there = unit.projects.find(name)
        pieces = pieces_with(unit, there.workshop) if there is not None else ()
    if there is not None and not again:
        return Loaded(there, True, 0, pieces=tuple(piece.name for piece, _ in pieces))
    return load_file(session, sample.file)


def _sample(file: Path) -> Sample:
    data = tomllib.loads(file.read_text(encoding="utf-8"))
    project = data["project"]
    about = str(project.get("notes") or project.get("title") or file.stem)
    as_of = data.get("as_of")
    return Sample(
        name=str(project["name"]),
        about=about.strip().splitlines()[0],
        file=file,
        as_of=as_of.astimezone(dt.UTC) if isinstance(as_of, dt.datetime) else None,
    )
