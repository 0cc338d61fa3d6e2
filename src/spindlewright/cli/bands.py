"""``spindlewright bands``: what a recording holds."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from spindlewright.cli.options import DataFolder, Json, LayoutName, Rpm, layout_from, rpm_from
from spindlewright.cli.progress import progress_bar


def bands(
    file: Annotated[Path, Parameter(help="Recording of a test disc.")],
    /,
    *,
    rpm: Rpm = None,
    layout: LayoutName = None,
    json: Json = False,
    data: DataFolder = None,
) -> int:
    """The bands of a recording: when each one starts and ends, its kind, frequency and level."""
    from spindlewright.contract import band_object, to_json_line
    from spindlewright.measure import find_bands

    with progress_bar(file.name) as progress:
        found = find_bands(file, rpm=rpm_from(rpm), layout=layout_from(layout, data), progress=progress)
    objects = [band_object(band) for band in found]
    if json:
        for one in objects:
            sys.stdout.write(to_json_line(one) + "\n")
        return 0
    from spindlewright.cli.paper import Paper
    from spindlewright.cli.printed_bands import print_bands

    print_bands(Paper(), objects)
    return 0
