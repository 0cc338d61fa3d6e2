"""The house's drawing colours and sizes: ink on paper, thin rules, one accent.

A page gives the same names as CSS custom properties (``--ink``, ``--paper``, ``--rule``, ``--quiet``, ``--accent``)
and may give them other values, for the dark. Contrast on its paper (WCAG 2.2 formula): in the light ink 14.7, accent
6.2, quiet 5.9; in the dark ink 14.2, accent 9.2, quiet 7.7. The rule is for lines that carry no news.
"""

from __future__ import annotations

INK = "#1c2733"
PAPER = "#fdfcf8"
RULE = "#cfcabd"
TINT = "#f4f1e8"
QUIET = "#5a6470"
ACCENT = "#a63c14"

DARK_INK = "#e9e5db"
DARK_PAPER = "#14181d"
DARK_RULE = "#3a424b"
DARK_TINT = "#1c2229"
DARK_QUIET = "#a3abb3"
DARK_ACCENT = "#ffa476"

NAMES = {INK: "ink", PAPER: "paper", RULE: "rule", QUIET: "quiet", ACCENT: "accent", TINT: "tint"}
"""Name of a colour as a drawing's class: ``ink-line`` where it is the line, ``ink-fill`` where it is the fill."""

FAST_STEPS = ("#dfe0e0", "#abb0b4", "#70787f", "#1c2733")
SLOW_STEPS = ("#f3ded2", "#e0b29c", "#c6785a", "#a63c14")
"""From nearly nothing to the full colour, above and below the mean, for maps; slow cells are ruled as well."""

STEP_NAMES = {
    **{colour: f"fast-{i}" for i, colour in enumerate(FAST_STEPS[:-1], 1)},
    **{colour: f"slow-{i}" for i, colour in enumerate(SLOW_STEPS[:-1], 1)},
}

FONTS = "'Libertinus Serif', 'Iowan Old Style', Palatino, 'Palatino Linotype', 'DejaVu Serif', Georgia, serif"
"""The first is built into the maker of sheets; a page may say otherwise."""

HAIR = 0.6
LINE = 1.0
STRONG = 1.8
SMALL_TEXT = 13.0
TEXT = 14.0
"""In the drawing's own units: 1 unit is 1 px on a page at full width, 0.67 pt on a sheet."""
