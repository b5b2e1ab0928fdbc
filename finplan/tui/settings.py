"""What a person chose (a file they edit), and what the interface keeps for itself between runs."""

from __future__ import annotations

import json
import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from finplan.services.reading import write_whole
from finplan.trade.errors import BadInput
from finplan.trade.names import did_you_mean
from finplan.trade.quantities import Units

CONFIG_VARIABLE = "FINPLAN_CONFIG"
COLOURS = ("lamp", "daylight", "ansi-dark", "ansi-light")
"""Themes offered: two of our own, and two that keep the terminal's own colours."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """The configuration file: other keys by binding id, and the colours ('' for the last used)."""

    keys: Mapping[str, str] = field(default_factory=dict)
    colours: str = ""


def config_path() -> Path:
    """Return where the configuration file is, whether there is one or not."""
    named = os.environ.get(CONFIG_VARIABLE)
    if named:
        return Path(named).expanduser()
    from platformdirs import user_config_path

    return user_config_path("finplan", appauthor=False) / "config.toml"


def read_config(path: Path, known_ids: frozenset[str]) -> Chosen:
    """Return what the configuration file says; nothing where there is none.

    It may hold ``[keys]`` (binding id = "key" or "key,key") and ``[terminal] colours``.

    Raises:
        BadInput: no TOML, an unknown binding or colours that are not offered.
    """
    if not path.is_file():
        return Chosen()
    try:
        told = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise BadInput(f"cannot be read: {fault}; put it right or remove it", str(path)) from None
    keys = told.get("keys", {})
    terminal = told.get("terminal", {})
    if not isinstance(keys, dict) or not isinstance(terminal, dict):
        raise BadInput("[keys] and [terminal] must be tables", str(path))
    for name, value in keys.items():
        if name not in known_ids:
            near = did_you_mean(name, known_ids) or "; ? on a screen lists the actions"
            raise BadInput(f"there is no action {name!r}{near}", f"{path}, [keys]")
        if not isinstance(value, str) or not value.strip():
            raise BadInput(f'{name}: write keys as text, e.g. "d" or "d,f3"', f"{path}, [keys]")
    colours = terminal.get("colours", "")
    if colours and colours not in COLOURS:
        raise BadInput(f"no colours {colours!r}: use one of {', '.join(COLOURS)}", str(path))
    return Chosen(dict(keys), colours)


class Memory:
    """Drafts, colours and units kept between runs in a small file; ``path`` None keeps nothing.

    A file that cannot be read or written is passed over: nothing in it is worth a refusal.
    """

    def __init__(self, path: Path | None = None, data: str = "") -> None:
        self._path = path
        self._data = data
        self._kept: dict[str, Any] = self._read()

    def _read(self) -> dict[str, Any]:
        if self._path is None:
            return {}
        try:
            kept = json.loads(self._path.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return {}
        return kept if isinstance(kept, dict) else {}

    def _write(self) -> None:
        if self._path is None:
            return
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(self._path, json.dumps(self._kept).encode())
        except (OSError, BadInput):
            self._path = None

    @property
    def colours(self) -> str:
        """The colours used last, '' where nobody changed them."""
        kept = self._kept.get("colours", "")
        return kept if kept in COLOURS else ""

    def keep_colours(self, name: str) -> None:
        """Remember the colours."""
        self._kept["colours"] = name
        self._write()

    @property
    def units(self) -> str | None:
        """The units used last, None where nobody changed them."""
        kept = self._kept.get("units")
        return kept if kept in tuple(Units) else None

    def keep_units(self, name: str) -> None:
        """Remember the units."""
        self._kept["units"] = name
        self._write()

    @property
    def workshop(self) -> str:
        """The workshop of this database shown last, '' where nobody chose one."""
        return str(self._of_data("workshops").get("name", ""))

    def keep_workshop(self, name: str) -> None:
        """Remember the workshop shown."""
        self._of_data("workshops")["name"] = name
        self._write()

    def draft(self, key: str) -> dict[str, str]:
        """Return what was typed into a form and not saved."""
        kept = self._of_data("drafts").get(key, {})
        return {str(k): str(v) for k, v in kept.items()} if isinstance(kept, dict) else {}

    def keep_draft(self, key: str, texts: Mapping[str, str]) -> None:
        """Remember what was typed; an empty draft is forgotten."""
        drafts = self._of_data("drafts")
        if texts:
            drafts[key] = dict(texts)
        else:
            drafts.pop(key, None)
        self._write()

    def _of_data(self, what: str) -> dict[str, Any]:
        """Return what is kept of one kind for this database alone."""
        every = self._kept.setdefault(what, {})
        own = every.setdefault(self._data, {}) if isinstance(every, dict) else {}
        return own if isinstance(own, dict) else {}


def usual_memory(data: str | None) -> Memory:
    """Return the memory in the user's own state folder."""
    from platformdirs import user_state_path

    where = data or os.environ.get("FINPLAN_DATA", "")
    path = user_state_path("finplan", appauthor=False) / "terminal.json"
    return Memory(path, where if "://" not in where else "database")
