"""Byte for byte what people read; look at a difference, then write the file anew.

FINPLAN_GOLDEN=write makes the files from what is printed now.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

FOLDER = Path(__file__).parent / "golden"

PAGES = {
    "air": ["air", "--temp", "12 C", "--rh", "65"],
    "air_imperial": ["air", "--temp", "70F", "--rh", "45", "--units", "imperial"],
    "journal": ["journal", "bench"],
    "journal_csv": ["journal", "bench", "--csv"],
    "parts": ["parts", "bench"],
}


@pytest.fixture
def told(shell, monkeypatch):
    """The bench with two entries whose uids are always the same."""
    import uuid

    numbers = iter(range(1, 100))
    monkeypatch.setattr(uuid, "uuid4", lambda: uuid.UUID(int=next(numbers) << 96))
    shell.right("record", "skip", "bench", "seal", "--at", "today 10:00", "--by", "Maker")
    details = ["--amount", "0.25 l", "--temp", "18 C", "--rh", "55", "--note", "ran a little"]
    shell.right("record", "coat", "bench", "coat 1", "--at", "today 11:30", *details)
    return shell


@pytest.mark.parametrize("name", PAGES)
def test_page(told, name):
    printed = told.right(*PAGES[name]).out
    file = FOLDER / f"{name}.txt"
    if os.environ.get("FINPLAN_GOLDEN") == "write":
        file.write_text(printed, encoding="utf-8", newline="")
    assert printed.encode() == file.read_bytes()
    if not name.endswith("csv"):
        assert max(len(line) for line in printed.splitlines()) <= 80
