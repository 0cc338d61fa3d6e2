"""``spindlewright job close``: the deck is handed over."""

from __future__ import annotations

import sys
from typing import Annotated

from cyclopts import Parameter

from spindlewright.cli.options import DataFolder, Json
from spindlewright.cli.shop_access import JobNumber, json_line, opened_shop


def close(
    number: JobNumber,
    /,
    *,
    to: Annotated[str, Parameter(help="To whom the deck is given.")],
    stands_for_it: Annotated[str, Parameter(help="Who stands for the sheet (default: as in the settings).")] = "",
    price: Annotated[str | None, Parameter(help="Price, in the job's currency.")] = None,
    note: Annotated[str, Parameter(help="Anything else about the handing over.")] = "",
    json: Json = False,
    data: DataFolder = None,
) -> int:
    """Write down that the deck is handed over. The job is closed then, and its sheet stays as it is."""
    from spindlewright.shop.accepted import money
    from spindlewright.shop.handover import HandOver, hand_over
    from spindlewright.shop.job_card import job_card

    with opened_shop(data) as shop:
        hand_over(shop, number, HandOver(to, stands_for_it, money("--price", price), note))
        card = job_card(shop, number)
    if json:
        sys.stdout.write(json_line({"number": card.job.number, "handover": card.handover}))
        return 0
    print(f"Job {card.job.number} is closed: handed over to {to}.")
    return 0
