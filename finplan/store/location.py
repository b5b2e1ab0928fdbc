"""Where the data is: a SQLite file, or a PostgreSQL server."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from finplan.trade.errors import BadInput
from finplan.trade.names import shown

DATA_VARIABLE = "FINPLAN_DATA"
FILE_NAME = "finplan.db"


@dataclass(frozen=True, slots=True)
class Location:
    """A place for data. ``path`` is the SQLite file, ``url`` the PostgreSQL address.

    Exactly one of both is set. ``shown`` is for messages and holds no password.
    """

    path: Path | None
    url: str = field(repr=False)
    shown: str


def data_folder() -> Path:
    """Return the folder where this user's data belongs by the habit of the system."""
    import platformdirs

    return platformdirs.user_data_path("finplan", appauthor=False)


def locate(data: str | Path | None = None) -> Location:
    """Return where ``data`` points; None means FINPLAN_DATA, or the user's data folder.

    Raises:
        BadInput: an address of a kind that is not known, or a home folder of nobody.
    """
    told = str(data) if data is not None else os.environ.get(DATA_VARIABLE, "")
    if not told.strip():
        return _file(data_folder() / FILE_NAME)
    if "://" not in told:
        try:
            return _file(Path(told).expanduser())
        except RuntimeError:
            raise BadInput(
                "there is no such home folder: write the whole path", shown(told)
            ) from None
    scheme = told.split("://", 1)[0].lower()
    if scheme not in ("postgresql", "postgres"):
        raise BadInput(
            f"no data can be kept at {scheme}://: give a file or a postgresql:// address"
        )
    return Location(path=None, url=told, shown=_without_secrets(told))


def _file(path: Path) -> Location:
    absolute = Path(os.path.abspath(path))  # noqa: PTH100 - resolve() would follow links
    return Location(path=absolute, url="", shown=str(absolute))


def _without_secrets(url: str) -> str:
    try:
        parts = urlsplit(url)
        port = f":{parts.port}" if parts.port else ""
    except ValueError:
        raise BadInput("the postgresql:// address cannot be read: check host and port") from None
    user = f"{parts.username}@" if parts.username else ""
    return f"postgresql://{user}{parts.hostname or ''}{port}{parts.path}"
