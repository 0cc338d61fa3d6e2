"""``spindlewright job show``: where one job stands."""

from __future__ import annotations

import sys

from spindlewright.cli.options import DataFolder, Json
from spindlewright.cli.shop_access import JobNumber, json_line, opened_shop


def show(number: JobNumber, /, *, json: Json = False, data: DataFolder = None) -> int:
    """Where a job stands: the next step, its stages and gates, readings, before against after, moves."""
    from spindlewright.shop.job_card import job_card

    with opened_shop(data) as shop:
        card = job_card(shop, number)
    if json:
        sys.stdout.write(json_line(card))
        return 0
    from spindlewright.cli.paper import Paper
    from spindlewright.cli.printed_job import print_job

    print_job(Paper(), card)
    return 0
