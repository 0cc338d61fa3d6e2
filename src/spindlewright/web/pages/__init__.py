"""One module a page, each with its ``router``. How to add one: see ``spindlewright.web``."""
