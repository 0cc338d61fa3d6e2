"""Published tables and limits, one module per standard with its edition in the name.

Nothing in this room reads a file, a clock or a device, or knows how a reading is made. A table is a tuple of typed
rows with unit, source and status (``provenance``); each module lists in ``CLAUSES``
what of its document is done and what is not. Named sets of limits for verdicts are in ``limits``.
"""
