"""Numbers with units as a person wants to read them: one place for every screen."""

from __future__ import annotations

from dataclasses import dataclass

from finplan.trade.quantities import (
    M2_PER_FT2,
    Units,
    format_area,
    format_can,
    format_length,
    format_temperature,
    format_volume,
)

LEAST_AREA = 0.1
"""The least area told in figures, in the unit it is told in."""


@dataclass(frozen=True, slots=True)
class Measures:
    """Writes SI values in ``units``; ``..._unit`` are for headings over bare numbers."""

    units: Units = Units.METRIC

    @property
    def metric(self) -> bool:
        """Whether metric units are shown."""
        return self.units is Units.METRIC

    @property
    def length_unit(self) -> str:
        """The unit of bare lengths."""
        return "mm" if self.metric else "in"

    @property
    def area_unit(self) -> str:
        """The unit of bare areas."""
        return "m²" if self.metric else "ft²"

    def bare_length(self, value_mm: float) -> str:
        """Return ``27`` or ``1 1/16``."""
        return f"{value_mm:g}" if self.metric else format_length(value_mm, self.units)[:-3]

    def size(self, sizes_mm: tuple[float, float, float], times: str = " × ") -> str:
        """Return length, width and thickness: ``1400 × 52 × 24 mm``."""
        return f"{times.join(map(self.bare_length, sizes_mm))} {self.length_unit}"

    def bare_area(self, value_m2: float) -> str:
        """Return ``3.4``, whole square feet from ten on, or ``<0.1`` of hardly any."""
        value = value_m2 if self.metric else value_m2 / M2_PER_FT2
        if 0 < value < LEAST_AREA:
            return f"<{LEAST_AREA}"
        return f"{value:.0f}" if not self.metric and value >= 10 else f"{value:.1f}"

    def area(self, value_m2: float, places: int = 1) -> str:
        """Return ``3.4 m²`` or ``36.6 ft²``; ``places`` are those of square metres."""
        if self.metric:
            return f"{value_m2:.{places}f} m²"
        return format_area(value_m2, self.units)

    def minutes_per_area(self, minutes_per_m2: float) -> str:
        """Return the minutes each m², or each ft² to the tenth."""
        return f"{minutes_per_m2:g}" if self.metric else f"{minutes_per_m2 * M2_PER_FT2:.1f}"

    def per_m2(self, value: float) -> float:
        """Return what is given for each m² or ft², as it is shown, for each m²."""
        return value if self.metric else value / M2_PER_FT2

    def volume(self, value_l: float, places: int = 2) -> str:
        """Return ``0.31 l``, gallons or fluid ounces; ``places`` are those of litres."""
        return f"{value_l:.{places}f} l" if self.metric else format_volume(value_l, self.units)

    def can(self, value_l: float) -> str:
        """Return the size of a can: ``0.75 l`` or ``1 qt``."""
        return f"{value_l:g} l" if self.metric else format_can(value_l, self.units)

    def degrees(self, value_c: float) -> float:
        """Return a temperature on the scale that is shown."""
        return value_c if self.metric else value_c * 9 / 5 + 32

    def temperature(self, value_c: float) -> str:
        """Return ``11.4 °C`` or ``52.5 °F``, always to the tenth."""
        return f"{self.degrees(value_c):.1f} °{self.units.degree_letter}"

    def hint(self, value_c: float) -> str:
        """Return a temperature as one would type it: ``18 C`` or ``64 F``."""
        return f"{self.degrees(value_c):.0f} {self.units.degree_letter}"

    def limit(self, value_c: float) -> str:
        """Return a limit as short as it can be said: ``10 °C``, ``7.5 °C`` or whole ``50 °F``."""
        if self.metric:
            return format_temperature(value_c, self.units)
        return f"{self.degrees(value_c):.0f} °F"
