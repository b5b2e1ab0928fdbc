"""The examples that the help of each verb ends with."""

from __future__ import annotations

from collections.abc import Mapping

EXAMPLES: Mapping[str, tuple[str, ...]] = {
    "sample": ("sample", "sample locust_bench"),
    "projects": ("projects", "projects --put-aside oak_door"),
    "new": (
        'new "Bench for the jetty"',
        'new Bench --job "oiled outdoor bench" --from cuts.csv --unit in',
        'new Table --job "wiped varnish table" --from c.csv --hours "sat 8-17"',
    ),
    "load": ("load bench.toml",),
    "save": ("save locust_bench -o bench.toml",),
    "parts": (
        "parts locust_bench",
        "parts locust_bench --schedule",
        "parts locust_bench --from more.csv --preview",
        "parts locust_bench --from more.csv --batch slats",
    ),
    "workshop": (
        "workshop",
        'workshop --hours "tue thu 18:30-21:30, sat 8-17" --day-off 2026-10-29',
        'workshop --person Kim --hours "mon-fri 9-12" --can sand,prepare,clean',
        "workshop --space loft --rack 40sqft --temp 65F --rh 50",
        "workshop --safe 90",
    ),
    "now": ("now", 'now --workshop "boathouse workshop"', "now --json"),
    "plan": (
        "plan locust_bench",
        "plan locust_bench oak_door --short",
        "plan locust_bench --ready-by 2026-11-14",
        "plan locust_bench --seconds 20",
        "plan locust_bench --changes",
    ),
    "why": ("why locust_bench slats coat 2", 'why locust_bench frame coat 1 --at "sat 9:00"'),
    "chance": (
        "chance locust_bench",
        "chance locust_bench --by 2026-11-21",
        "chance locust_bench --sources",
    ),
    "levers": ("levers locust_bench",),
    "record": (
        "record coat locust_bench",
        "record sanded locust_bench frame --at 19:15",
    ),
    "record check": (
        "record check locust_bench",
        "record check locust_bench --stage tack-free --not-yet --at 18:00",
    ),
    "record coat": (
        "record coat locust_bench slats coat 1",
        'record coat locust_bench frame coat 1 --at "sat 10:15" --amount 0.4l',
        "record coat locust_bench --by Kim --temp 14C --rh 62 --can second",
    ),
    "record gone": ("record gone jetty_steps --note sold",),
    "record inspection": ('record inspection jetty_steps --found "soaks in" --at yesterday',),
    "record note": ("record note locust_bench one leg planed anew",),
    "record repeat": ('record repeat locust_bench slats sand --note "water stains"',),
    "record sanded": ("record sanded locust_bench", "record sanded locust_bench frame --at -2h"),
    "record service": (
        "record service jetty_steps --done cleaned",
        "record service jetty_steps --done renewed --used 0.3l --at 2027-04-24",
    ),
    "record skip": ("record skip locust_bench slats seal",),
    "record spoiled": ('record spoiled locust_bench "seat slat" 2',),
    "record step": ("record step locust_bench frame prepare --at 19:20",),
    "record turned": ("record turned beech_worktop --by Kim",),
    "record wiped": ("record wiped locust_bench --at 20:30",),
    "record wish": (
        'record wish locust_bench slats coat 1 --at "sat 9:00"',
        "record wish locust_bench slats coat 1 --withdraw",
    ),
    "correct": (
        "correct locust_bench last --at 19:40",
        "correct locust_bench 3f2a --amount 0.35l",
    ),
    "undo": ("undo", "undo locust_bench"),
    "redo": ("redo", "redo locust_bench"),
    "journal": ("journal locust_bench", "journal --csv"),
    "install": (
        "install bench --project locust_bench --place hall --installed today",
        'install steps --finish "penetrating oil" --area 2.4m2 --season apr-oct',
        "install steps --change --blocked 2027-07-01..2027-07-14",
    ),
    "upkeep": ("upkeep --years 10", "upkeep jetty_steps --years 3", "upkeep jetty_steps --plan"),
    "due": ("due --within 36h", "due --notify"),
    "calendar": (
        "calendar -o finishing.ics",
        "calendar locust_bench -o bench.ics --feed",
        "calendar --push --url https://cal.example/dav --user kim",
        "calendar --serve --port 8421",
    ),
    "remind": ("remind install --yes", "remind settings --quiet 22:00-07:00"),
    "remind install": ("remind install", "remind install --yes"),
    "remind remove": ("remind remove",),
    "remind settings": (
        "remind settings",
        "remind settings --session-lead 90min --quiet 22:00-07:00",
    ),
    "remind status": ("remind status",),
    "busy": ("busy work.ics --person maker", "busy --forget --person maker"),
    "chart": (
        "chart locust_bench -o plan.svg",
        'chart oak_door --coat "coat 1 first side" -o drying.png',
        "chart --upkeep --years 10 -o years.svg",
    ),
    "card": ("card locust_bench -o card.pdf",),
    "dry": (
        'dry "penetrating oil" --temp 12C --rh 70',
        'dry "spar varnish" --space loft --start "sat 11:00"',
        'dry "penetrating oil" --temp 48F --rh 85 --heat-to 65F',
    ),
    "learned": ("learned",),
    "learned forget": ('learned forget "penetrating oil" --space shed',),
    "air": (
        "air --temp 12C --rh 70",
        "air --temp 60F --rh 55 --moves larch --fitted-at 8",
    ),
    "air add": ("air add --temp 14C --rh 65 --space shed", "air add --temp 61F --rh 55 --at -2h"),
    "air import": (
        "air import logger.csv --space shed",
        "air import logger.csv --dates month-first --zone-of-log UTC",
        "air import next_days.csv --forecast",
    ),
    "air log": ("air log", 'air log --workshop "boathouse workshop"'),
    "air show": ("air show", "air show --space shed --days 7 --every 6"),
    "materials": ("materials locust_bench",),
    "finishes": (
        "finishes",
        'finishes "spar varnish"',
        "finishes --add mine.toml",
        'finishes --remove "shed oil"',
    ),
    "where": ("where",),
    "backup": ("backup shop-copy.sqlite",),
    "restore": ("restore shop-copy.sqlite",),
    "check": ("check",),
}
"""Words of a verb -> what one may write after ``finplan``."""
