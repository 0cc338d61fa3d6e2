"""``python -m spindlewright.cli``: the same as the command ``spindlewright``."""

from spindlewright.cli import main

raise SystemExit(main())
