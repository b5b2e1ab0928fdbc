"""The terminal user interface."""

from __future__ import annotations

from finplan.tui import collector


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
        units: ``metric`` or ``imperial``; None for those used last.
        zone: IANA zone to show times in; None for the workshop's own.

    Raises:
        BadInput: the data cannot be opened, or the configuration file is wrong; nothing is
            shown then.
        TerminalFailed: a fault nobody foresaw ended it; the terminal is whole again.
    """
    collector.rest()
    from finplan.tui.first_reading import FirstReading

    first = FirstReading(data, now, units, zone)
    from finplan.tui.app import FinplanApp
    from finplan.tui.crash import TerminalFailed, keep_log
    from finplan.tui.settings import Chosen, config_path, read_config, usual_memory
    from finplan.tui.shop import Shop

    memory = usual_memory(data)
    shop = Shop(data, now, units or memory.units, zone)
    if not first.opened():
        shop.stamp()
    chosen = Chosen()
    if config_path().is_file():
        from finplan.tui.keys import known_bindings

        chosen = read_config(config_path(), known_bindings())
    app = FinplanApp(shop, memory, chosen, first)
    app.run()
    if app.broke_on is not None:
        raise TerminalFailed(app.broke_on, keep_log(app.broke_on)) from app.broke_on
    return app.return_code or 0
