"""One module a stage of the job card, each with its ``router``. How to add one: see ``spindlewright.web``."""
