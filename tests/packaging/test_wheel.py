"""The wheel alone does the main job, from any directory, without the tools developers have."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
NOW = "2026-10-14T18:00+02:00"


def run(folder, *command):
    clean = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("FINPLAN_", "PYTHON", "VIRTUAL_ENV", "COVERAGE"))
    }
    environment = clean | {
        "FINPLAN_DATA": str(folder / "data" / "shop.db"),
        "FINPLAN_NOW": NOW,
        "PYTHONUTF8": "1",
    }
    told = subprocess.run(
        [str(part) for part in command],
        capture_output=True, text=True, encoding="utf-8", cwd=folder, env=environment, timeout=400,
    )  # fmt: skip
    assert told.returncode == 0, f"{command}\n{told.stdout[-2000:]}\n{told.stderr[-2000:]}"
    return told.stdout


def travelling(folder, ending):
    return {
        file.relative_to(folder).as_posix()
        for file in folder.rglob(f"*{ending}")
        if "__pycache__" not in file.parts
    }


def check_contents(wheel):
    names = set(zipfile.ZipFile(wheel).namelist())
    for source, packed in (
        ("migrations", "finplan/_migrations"),
        ("sample_projects", "finplan/_sample_projects"),
        ("finplan", "finplan"),
    ):
        for ending in (".py", ".toml", ".csv", ".tcss", ".mako"):
            for file in travelling(ROOT / source, ending):
                assert f"{packed}/{file}" in names
    assert not any(name.startswith("tests/") for name in names)


def test_the_wheel_does_the_main_job_from_another_directory(tmp_path):
    run(tmp_path, sys.executable, "-m", "build", "--outdir", tmp_path / "dist", ROOT)
    (wheel,) = (tmp_path / "dist").glob("*.whl")
    check_contents(wheel)

    clean = tmp_path / "clean"
    venv.create(clean)
    install = ("-m", "pip", "--python", clean, "install", "--quiet", "--no-compile", wheel)
    run(tmp_path, sys.executable, *install)
    programs = clean / ("Scripts" if sys.platform == "win32" else "bin")
    here = tmp_path / "elsewhere"
    here.mkdir()
    finplan = programs / "finplan"
    place = run(here, programs / "python", "-c", "import finplan; print(finplan.__file__)")
    assert Path(place.strip()).is_relative_to(clean)

    samples = json.loads(run(here, finplan, "sample", "--json"))["samples"]
    assert len(samples) >= 3
    name = samples[0]["name"]
    assert "2026" in run(here, finplan, "sample", name)
    plan = json.loads(run(here, finplan, "plan", name, "--json"))
    assert plan["project"] == name
    assert plan["ready"] > plan["now"]
    coats = [step for step in plan["steps"] if step["kind"] == "coat"]
    assert coats
    assert all(step["start"] >= plan["now"] for step in plan["steps"])
    run(here, finplan, "calendar", name, "-o", "shop.ics")
    calendar = (here / "shop.ics").read_bytes()
    assert calendar.startswith(b"BEGIN:VCALENDAR\r\n")
    assert calendar.count(b"BEGIN:VEVENT") >= len(coats)
    run(here, finplan, "save", name, "-o", "shop.toml")
    run(here, finplan, "backup", "shop-backup.db")
    assert "sound" in run(here, finplan, "check")
    assert "finplan" in run(here, programs / "python", "-m", "finplan", "--version")
    assert (here / "data" / "shop.db").is_file()
