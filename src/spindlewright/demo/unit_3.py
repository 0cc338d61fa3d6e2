"""Unit 3, finished: an idler deck with a flat on its idler, cured, with soak run and listening, handed over."""

from __future__ import annotations

from decimal import Decimal

from spindlewright.demo.bench_hand import BenchHand
from spindlewright.demo.owner import CONTACT, OWNER
from spindlewright.demo.units import TEST_DISC
from spindlewright.shop.arrival import NewJob, new_job
from spindlewright.shop.function_list import LISTENING
from spindlewright.shop.go_ahead import GoAhead, give_go_ahead
from spindlewright.shop.hand_readings import typed_reading
from spindlewright.shop.handover import HandOver, hand_over
from spindlewright.shop.left_undone import leave_undone
from spindlewright.shop.listening import tick
from spindlewright.shop.soak import soak_run
from spindlewright.shop.tasks import NewTask, add_task
from spindlewright.shop.views.recordings import CaptureOptions

AS_IT_CAME, CURED = "unit_3_as_it_came", "unit_3_cured"
TAKES = ((AS_IT_CAME, 1), (AS_IT_CAME, 2), (CURED, 1), (CURED, 2))
RECORDED = CaptureOptions(disc=TEST_DISC, limits="bench-idler")

DECK = NewJob(
    deck="Unit 3, idler deck with a heavy platter",
    complaint="It thumps in quiet music, two or three times a second. Since the summer it is not steady either.",
    owner_name=OWNER,
    owner_contact=CONTACT,
    serial="LR-3",
    drive="idler",
    motor="induction",
    arm="pivoted",
    plate_voltage_v=230.0,
    plate_frequency_hz=50.0,
    abilities={"speed_trim": "none", "azimuth": "adjustable", "height": "adjustable", "anti_skate": "adjustable"},
    dimensions={"rim_mm": 270.0, "idler_mm": 60.0, "pulley_mm": 6.0, "headshell_width_mm": 20.0},
    condition="Lid scratched. Plinth clean. Feet hard. The speed lever stood engaged all summer.",
    brought_with="headshell with cartridge, 45 adaptor",
    missing="one screw of the lid",
    look_over_fee=Decimal("25"),
    stop_sum=Decimal("140"),
    currency="EUR",
)
WORKS = ("works", "")
NOT_THERE = dict.fromkeys(("set_down", "return"), ("not there", ""))
FUNCTIONS_BEFORE = {
    **dict.fromkeys(("start", "stop", "speed_33", "speed_45", "lift_up", "mute", "lid"), WORKS),
    **NOT_THERE,
    "lift_down": ("does not", "drops the last centimetre"),
    "feet": ("does not", "gone hard"),
}
FUNCTIONS_AFTER = {**FUNCTIONS_BEFORE, "lift_down": WORKS}
WORK = (
    NewTask(
        "Idler taken out: a flat of 3 mm where it stood on the motor. A new one fitted.",
        template="idler_true",
        parts="idler, 60 mm",
        result="runs without a thump",
    ),
    NewTask("Motor step and platter rim cleaned, free of oil.", template="clean_idler"),
    NewTask("Platter bearing cleaned and oiled anew.", template="main_bearing", parts="bearing oil"),
    NewTask("Lift damped again.", template="arm_bearings", parts="damping grease", result="comes down in 4 s"),
)
SET_UP = (
    NewTask("Headshell set upright in a mirror: it was rolled anticlockwise.", "set_up", "azimuth", result="upright"),
    NewTask("Tracking force set with the scale.", "set_up", "tracking_force"),
    NewTask("Anti-skate set.", "set_up", "anti_skate"),
)


def fill(bench: BenchHand) -> str:
    """The whole visit, from twelve days ago until five days ago; gives the job's number."""
    shop, clock = bench.shop, bench.clock
    clock.go_to(12, 9, 20)
    number = new_job(shop, DECK)
    bench.gates(number)

    clock.go_to(11, 10, 5)
    files = ("unit-3-before-1.wav", "unit-3-before-2.wav")
    bench.record(number, "before", dict(zip(files, TAKES[:2], strict=True)), RECORDED)
    typed_reading(shop, number, "before", "tracking_force", "2,9 g", "stylus scale")
    typed_reading(shop, number, "before", "start_time", "6,5 s", "stopwatch")
    bench.functions(number, "before", FUNCTIONS_BEFORE)

    clock.go_to(11, 15, 40)
    give_go_ahead(shop, number, GoAhead("owner_yes", OWNER, None, "by telephone", Decimal("120")))

    clock.go_to(8, 10, 0)
    for task in (*WORK, *SET_UP):
        add_task(shop, number, task)
    typed_reading(shop, number, "set_up", "tracking_force", "2,0 g", "stylus scale")

    clock.go_to(7, 11, 15)
    files = ("unit-3-after-1.wav", "unit-3-after-2.wav")
    bench.record(number, "after", dict(zip(files, TAKES[2:], strict=True)), RECORDED)
    typed_reading(shop, number, "after", "tracking_force", "2,0 g", "stylus scale")
    typed_reading(shop, number, "after", "start_time", "4,0 s", "stopwatch")
    bench.functions(number, "after", FUNCTIONS_AFTER)
    clock.go_to(7, 17, 30)
    soak_run(shop, number, 240.0, "ran through")
    for key, _ in LISTENING:
        tick(shop, number, key)
    leave_undone(shop, number, "Feet", "hard, but the owner wants to keep the old ones this year")

    clock.go_to(5, 14, 0)
    hand_over(shop, number, HandOver(OWNER, "the bench", Decimal("118.50"), "with its old idler"))
    return number
