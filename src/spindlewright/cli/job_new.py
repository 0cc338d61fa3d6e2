"""``spindlewright job new``: a deck comes in."""

from __future__ import annotations

import sys
from typing import Annotated, Literal

from cyclopts import Parameter

from spindlewright.cli.options import DataFolder, Json, typed
from spindlewright.cli.shop_access import json_line, opened_shop

Drive = Literal["belt", "idler", "direct", "unknown"]
Motor = Literal["synchronous", "induction", "dc", "servo", "unknown"]
ArmKind = Literal["pivoted", "unipivot", "plug-in", "linear", "unknown"]


def new(
    *,
    deck: Annotated[str, Parameter(help="What the plate says, or what one calls it.")],
    said: Annotated[str, Parameter(help="What the owner said, in the owner's words.")] = "",
    owner: Annotated[str, Parameter(help="Owner's name.")] = "",
    contact: Annotated[str, Parameter(help="How to reach the owner.")] = "",
    own_deck: Annotated[bool, Parameter(help="It is the shop's own deck.")] = False,
    serial: Annotated[str, Parameter(help="Serial number.")] = "",
    drive: Annotated[Drive, Parameter(help="Drive: belt, idler, direct or unknown.")] = "unknown",
    motor: Annotated[Motor, Parameter(help="Motor: synchronous, induction, dc, servo or unknown.")] = "unknown",
    arm: Annotated[ArmKind, Parameter(help="Arm: pivoted, unipivot, plug-in, linear or unknown.")] = "unknown",
    automatic: Annotated[bool, Parameter(help="Sets down or returns the arm by itself.")] = False,
    speed: Annotated[
        tuple[str, ...], Parameter(help="A speed it has, in rpm; may be repeated (default: 33 and 45).")
    ] = (),
    plate_voltage: Annotated[str | None, Parameter(help="Voltage on the plate, in V.")] = None,
    plate_frequency: Annotated[str | None, Parameter(help="Mains frequency on the plate, in Hz.")] = None,
    condition: Annotated[str, Parameter(help="Condition as it came.")] = "",
    came_with: Annotated[str, Parameter(help="What came with it.")] = "",
    missing: Annotated[str, Parameter(help="What is missing.")] = "",
    look_over_fee: Annotated[str | None, Parameter(help="Fee agreed for looking it over.")] = None,
    stop_sum: Annotated[str | None, Parameter(help="Sum at which to stop and ask.")] = None,
    currency: Annotated[str, Parameter(help="Currency of these sums (default: the shop's).")] = "",
    json: Json = False,
    data: DataFolder = None,
) -> int:
    """Begin a job: only the deck and the owner's words are needed, all else can be written down later."""
    from spindlewright import typed_numbers
    from spindlewright.shop.accepted import money
    from spindlewright.shop.arrival import USUAL_SPEEDS_RPM, NewJob, new_job
    from spindlewright.shop.job_card import job_card

    speeds = tuple(rpm for text in speed if (rpm := typed("--speed", text, typed_numbers.rpm)) is not None)
    asked = NewJob(
        deck=deck,
        complaint=said,
        owner_name=owner,
        owner_contact=contact,
        own_deck=own_deck,
        serial=serial,
        drive=drive,
        motor=motor,
        arm=arm,
        automatic=automatic,
        speeds_rpm=speeds or USUAL_SPEEDS_RPM,
        plate_voltage_v=typed("--plate-voltage", plate_voltage, typed_numbers.number),
        plate_frequency_hz=typed("--plate-frequency", plate_frequency, typed_numbers.number),
        condition=condition,
        brought_with=came_with,
        missing=missing,
        look_over_fee=money("--look-over-fee", look_over_fee),
        stop_sum=money("--stop-sum", stop_sum),
        currency=currency,
    )
    with opened_shop(data) as shop:
        number = new_job(shop, asked)
        card = job_card(shop, number)
    if json:
        sys.stdout.write(json_line({"number": number, "next_step": card.next_step}))
        return 0
    print(f"Job {number} is open. Next: {card.next_step.words}")
    return 0
