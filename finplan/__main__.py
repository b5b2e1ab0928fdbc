"""Start finplan: ``python -m finplan`` or the ``finplan`` command."""

from __future__ import annotations

import sys


def main() -> int:
    """Hand over to the command line and return its exit status."""
    from finplan.cli.app import main as run

    return run()


if __name__ == "__main__":
    sys.exit(main())
