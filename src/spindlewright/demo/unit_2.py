"""Unit 2, just arrived: an automatic with hum in one channel, not fit to play until its tip is replaced."""

from __future__ import annotations

from decimal import Decimal

from spindlewright.demo.bench_hand import BenchHand
from spindlewright.demo.owner import CONTACT, OWNER
from spindlewright.shop.arrival import NewJob, new_job
from spindlewright.shop.views.recordings import CaptureOptions

AT_REST = "unit_2_arm_on_its_rest"
TAKES = ((AT_REST, 1),)
RECORDED = CaptureOptions(arm_lifted=True, note="arm on its rest")

DECK = NewJob(
    deck="Unit 2, automatic",
    complaint="It hums on the left, and since a visitor pushed the arm it only scratches.",
    owner_name=OWNER,
    owner_contact=CONTACT,
    serial="LR-2",
    drive="belt",
    motor="synchronous",
    arm="pivoted",
    automatic=True,
    plate_voltage_v=230.0,
    plate_frequency_hz=50.0,
    abilities={"speed_trim": "none", "azimuth": "fixed", "height": "fixed", "anti_skate": "adjustable"},
    condition="Dusty. The arm lies on its rest. The tip is broken off.",
    brought_with="lid",
    look_over_fee=Decimal("25"),
    stop_sum=Decimal("80"),
    currency="EUR",
)
GATES_UNLIKE = {
    ("play", "tip"): ("no", "broken off; the cantilever is whole"),
    ("play", "force"): ("does_not_apply", "no tip to weigh"),
}


def fill(bench: BenchHand) -> str:
    """Arrived this morning: gates answered, hum recorded with the arm on its rest; gives the job's number."""
    clock = bench.clock
    clock.minutes_ago(75)
    number = new_job(bench.shop, DECK)
    bench.gates(number, GATES_UNLIKE)
    clock.minutes_ago(40)
    bench.record(number, "before", {"unit-2-arm-on-its-rest.wav": TAKES[0]}, RECORDED)
    return number
