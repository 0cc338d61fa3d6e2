"""The command line: reads what was typed, asks one function, prints the answer. No calculation lives here.

A command's module is imported only when the command runs, and heavy libraries only inside it, so that ``--help``
answers at once.
"""

from __future__ import annotations

from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line (``sys.argv`` when ``arguments`` is None); gives the exit status of the contract."""
    from spindlewright.cli.app import run

    return run(arguments)
