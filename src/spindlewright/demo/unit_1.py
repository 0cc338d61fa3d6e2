"""Unit 1, on the bench: a synchronous belt deck with the pulley of the other mains, and one channel upside down."""

from __future__ import annotations

from decimal import Decimal

from spindlewright.demo.bench_hand import BenchHand
from spindlewright.demo.owner import CONTACT, OWNER
from spindlewright.demo.units import TEST_DISC
from spindlewright.shop.arrival import NewJob, new_job
from spindlewright.shop.go_ahead import GoAhead, give_go_ahead
from spindlewright.shop.hand_readings import counted_turns_reading, typed_reading
from spindlewright.shop.tasks import NewTask, add_task
from spindlewright.shop.views.recordings import CaptureOptions

AS_IT_CAME = "unit_1_as_it_came"
TAKES = ((AS_IT_CAME, 1), (AS_IT_CAME, 2))
RECORDED = CaptureOptions(disc=TEST_DISC, limits="bench-belt")

DECK = NewJob(
    deck="Unit 1, belt deck with a synchronous motor",
    complaint="Everything plays too low, like a tired singer, and the sound is hollow.",
    owner_name=OWNER,
    owner_contact=CONTACT,
    serial="LR-1",
    drive="belt",
    motor="synchronous",
    arm="pivoted",
    plate_voltage_v=230.0,
    abilities={"speed_trim": "none", "azimuth": "adjustable", "height": "fixed", "anti_skate": "adjustable"},
    dimensions={
        "hub_mm": 160.0,
        "pulley_mm": 17.24,
        "belt_thickness_mm": 0.6,
        "belt_length_mm": 620.0,
        "motor_poles": 24.0,
        "headshell_width_mm": 18.0,
    },
    condition="Bought abroad last year. As new, but a strange wire at the headshell. The motor's plate can't be read.",
    brought_with="lid, mat, transformer left at home",
    look_over_fee=Decimal("25"),
    stop_sum=Decimal("90"),
    currency="EUR",
)
FUNCTIONS_BEFORE = {
    **dict.fromkeys(("start", "stop", "lift_up", "lift_down", "lid", "feet"), ("works", "")),
    **dict.fromkeys(("set_down", "return", "mute"), ("not there", "")),
    "speed_33": ("does not", "far too slow"),
    "speed_45": ("does not", "far too slow as well"),
}
PLANNED = (
    NewTask("Fit the pulley for 50 Hz.", template="pulley", done=False),
    NewTask("Exchange the two wires of the right channel at the headshell.", template="tag_wires", done=False),
)
TAP_TIMES_S = (0.412, 2.566, 4.739, 6.871, 9.062, 11.206, 13.381, 15.522, 17.697, 19.847, 22.031, 24.158, 26.342)
"""Thirteen taps of an invented hand, one a turn of 60/27.78 = 2.16 s, each some hundredths of a second off."""


def fill(bench: BenchHand) -> str:
    """From arrival the day before yesterday to the work that is planned; gives the job's number."""
    shop, clock = bench.shop, bench.clock
    clock.go_to(2, 11, 10)
    number = new_job(shop, DECK)
    bench.gates(number)

    clock.go_to(1, 9, 30)
    counted_turns_reading(shop, number, "before", TAP_TIMES_S, 100.0 / 3.0)
    files = ("unit-1-before-1.wav", "unit-1-before-2.wav")
    bench.record(number, "before", dict(zip(files, TAKES, strict=True)), RECORDED)
    typed_reading(shop, number, "before", "tracking_force", "1,9 g", "stylus scale")
    bench.functions(number, "before", FUNCTIONS_BEFORE)

    clock.go_to(1, 14, 45)
    give_go_ahead(shop, number, GoAhead("owner_yes", OWNER, None, "at the counter", Decimal("80")))
    for task in PLANNED:
        add_task(shop, number, task)
    return number
