"""The top line: the areas with their keys, and the clock."""

from __future__ import annotations

from textual import events
from textual.message import Message
from textual.strip import Strip

from finplan.tui.models.paint import Line, Role, Run, line, spread, tidy, width_of
from finplan.tui.widgets.painter import Painter

AREAS: tuple[tuple[str, str, str], ...] = (
    ("1", "bench", "Bench"),
    ("2", "timeline", "Timeline"),
    ("3", "project", "Project"),
    ("4", "coats", "Coats"),
    ("5", "journal", "Journal"),
    ("6", "air", "Air"),
    ("7", "finishes", "Finishes"),
    ("8", "upkeep", "Upkeep"),
)
"""Key, mode and name of each area."""


PROGRAM = "finplan"
MOST_BRAND = 20


class TopBar(Painter):
    """The workshop where there are several, the areas, and the clock on the right."""

    class Picked(Message):
        """An area was clicked."""

        def __init__(self, area: str) -> None:
            self.area = area
            super().__init__()

    def __init__(self, area: str) -> None:
        super().__init__()
        self._area = area
        self._clock = ""
        self._brand = PROGRAM

    def show_workshop(self, name: str) -> None:
        """Name the workshop that shows, where there are several."""
        if name != self._brand:
            self._brand = name
            self.refresh()

    def show_clock(self, words: str) -> None:
        """Show the time, ``Tue 6 Oct 11:00`` and maybe its zone; nothing is drawn for the same."""
        if words != self._clock:
            self._clock = words
            self.refresh()

    def render_line(self, y: int) -> Strip:
        """Return the bar."""
        width = self.size.width
        return self.paint(self._line(width), width)

    def _line(self, width: int) -> Line:
        """Return the bar in the fullest form that fits."""
        words = self._clock.split(" ")
        hour, bare = " ".join(words[3:]), " ".join(words[3:4])
        whole, day = self._clock, f"{words[0]} {hour}"
        brand = f" {tidy(self._brand, MOST_BRAND)} "
        named = brand if self._brand != PROGRAM else ""
        forms = [
            (brand, " ", f"{whole} "),
            *((named, "", clock) for clock in (f"{whole} ", f"{day} ") if named),
            *(("", gap, clock) for gap in (" ", "") for clock in (f"{whole} ", f"{day} ")),
            ("", "", hour),
            ("", "", bare),
        ]
        for brand, gap, clock in forms:
            areas = line((brand, Role.HEADING), *self._areas(gap))
            if width_of(areas) + len(clock) < width:
                return spread(areas, line((clock, Role.STRONG)), width)
        return spread(line(*self._areas("", short=True)), line((bare, Role.STRONG)), width)

    def _areas(self, gap: str, short: bool = False) -> list[Run]:
        runs: list[Run] = []
        for key, area, name in AREAS:
            runs.append(Run(gap))
            if area == self._area:
                runs.append(Run(f" {key} {name} ", Role.CHOSEN))
            else:
                runs.append(Run(f" {key}", Role.KEY))
                runs.append(Run(" " if short else f" {name}{gap}"))
        return runs

    def on_click(self, event: events.Click) -> None:
        """Go to the area under the mouse."""
        position = 0
        area = ""
        for run in self._line(self.size.width):
            key = run.text.strip().split(" ")[0]
            if run.role in (Role.KEY, Role.CHOSEN):
                area = next((mode for number, mode, _ in AREAS if number == key), area)
            position += len(run.text)
            if event.x < position:
                break
        if area:
            self.post_message(self.Picked(area))
