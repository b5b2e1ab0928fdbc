"""The terminal user interface."""

from __future__ import annotations


def run(
    data: str | None = None,
    now: str | None = None,
    units: str | None = None,
    zone: str | None = None,
) -> int:
    """Open the terminal interface and return the exit status.

    Args:
        data: where the data is (a file or a database URL); None for the usual place.
        now: a moment to take as the present, ISO 8601 with an offset; the clock then stands.
        units: ``metric`` or ``imperial``.
        zone: IANA zone to show times in; None for the workshop's own.

    Raises:
        BadInput: the data cannot be opened; nothing is shown then.
    """
    from finplan.tui.app import FinplanApp
    from finplan.tui.shop import Shop

    shop = Shop(data, now, units, zone)
    shop.stamp()
    app = FinplanApp(shop)
    app.run()
    return app.return_code or 0
