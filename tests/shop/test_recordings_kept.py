"""Recordings taken in, and measurements added beside each other."""

from __future__ import annotations

import copy
import io

import pytest
from bench_day import (
    answer_all,
    arrived,
    at_after,
    at_before,
    measured_one,
    measurement_object,
    reading_object,
    taken_in,
    tone_wav,
)

from spindlewright.readings.from_object import reading_from_object
from spindlewright.shop.engine_version import engine_version
from spindlewright.shop.errors import NotAccepted, NotFound, NotOpenYet
from spindlewright.shop.job_card import job_card, readings_ever
from spindlewright.shop.recordings import (
    capture_of,
    captures_of,
    measure_again,
    measured,
    no_recording_possible,
    not_measured,
    take_in,
)
from spindlewright.shop.settings import ShopSettings, change_settings
from spindlewright.shop.store import Shop
from spindlewright.shop.views.recordings import CaptureOptions


def test_a_recording_is_kept_as_it_came(shop: Shop) -> None:
    number = at_before(shop)
    view = take_in(shop, number, "before", "C:\\takes\\side a.wav", io.BytesIO(tone_wav()), CaptureOptions(rpm=45.0))
    assert (view.file_name, view.state, view.stage) == ("side a.wav", "stored", "before")
    assert view.options.rpm == 45.0
    assert shop.files.path_of(view.sha256).read_bytes() == tone_wav()
    assert captures_of(shop, number) == (view,)


def test_the_same_file_sent_again_is_the_same_recording(shop: Shop) -> None:
    number = at_before(shop)
    assert taken_in(shop, number) == taken_in(shop, number, name="other name.wav")
    other_way = taken_in(shop, number, options=CaptureOptions(rpm=45.0))
    assert len(captures_of(shop, number)) == 2
    assert other_way.sha256 == captures_of(shop, number)[0].sha256


def test_a_before_recording_is_not_taken_for_an_after_one(shop: Shop) -> None:
    number = at_after(shop)
    take_in(shop, number, "before", "a.wav", io.BytesIO(tone_wav()))
    with pytest.raises(NotAccepted, match=r"the same file as a\.wav, taken in at Before"):
        take_in(shop, number, "after", "b.wav", io.BytesIO(tone_wav()))


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (CaptureOptions(disc="no such disc"), "disc: found 'no such disc', allowed is listening-room-set-up-disc"),
        (CaptureOptions(rpm=float("nan")), "speed: found nan"),
        (CaptureOptions(mains_hz=55.0), "mains frequency: found '55', allowed is 50, 60"),
        (CaptureOptions(limits="mine"), "limits: found 'mine'"),
        (CaptureOptions(chain="tape"), "chain: found 'tape'"),  # type: ignore[arg-type]
    ],
)
def test_options_that_cannot_be(sqlite_shop: Shop, options: CaptureOptions, message: str) -> None:
    number = at_before(sqlite_shop)
    with pytest.raises(NotAccepted, match=message):
        taken_in(sqlite_shop, number, options=options)
    with pytest.raises(NotAccepted, match="stage: found 'handover'"):
        taken_in(sqlite_shop, number, "handover")
    assert captures_of(sqlite_shop, number) == ()


def test_a_measurement_comes_with_its_readings_and_findings(shop: Shop) -> None:
    number = at_before(shop)
    view = measured_one(shop, number)
    assert view.state == "measured"
    assert view.measurement is not None
    assert view.measurement.engine_version == engine_version()
    card = job_card(shop, number)
    (reading,), (finding,) = card.readings, card.findings
    assert reading.reading == reading_from_object(reading_object())
    assert reading.reading.method_version == 1
    assert reading.engine_version == engine_version()
    assert (finding.finding.code, finding.finding.evidence) == ("off_centre", {"mm": 0.2})
    assert view.measurement.json_object["capture"]["file"] == "before-0.wav"
    assert view.measurement.json_object["capture"]["sha256"] == view.sha256


def test_curves_come_only_when_asked_for(shop: Shop) -> None:
    number = at_before(shop)
    view = measured_one(shop, number)
    assert view.measurement is not None
    assert view.measurement.json_object["curves"] is None
    with_curves = capture_of(shop, view.id, curves=True).measurement
    assert with_curves is not None
    assert with_curves.json_object["curves"] == measurement_object()["curves"]
    card = job_card(shop, number, curves=True)
    assert card.captures[0].measurement == with_curves


def test_measured_again_adds_beside_the_old(shop: Shop) -> None:
    number = at_before(shop)
    view = measured_one(shop, number)
    assert measure_again(shop, view.id).state == "stored"
    newer = reading_object(value=-0.52, method_version=2)
    again = measured(shop, view.id, measurement_object(newer))
    assert again.measurement is not None
    assert [old.json_object["readings"][0]["value"] for old in again.earlier] == [-0.5]
    assert [(v.reading.value, v.reading.method_version) for v in readings_ever(shop, view.id)] == [
        (-0.5, 1),
        (-0.52, 2),
    ]
    assert [v.reading.value for v in job_card(shop, number).readings] == [-0.52]
    assert len(job_card(shop, number).findings) == 1


def test_a_reading_without_a_value_stays_in_the_object_only(shop: Shop) -> None:
    number = at_before(shop)
    measured_one(shop, number, readings=[reading_object(), reading_object("hum", None)])  # type: ignore[arg-type]
    card = job_card(shop, number)
    assert [view.reading.quantity for view in card.readings] == ["speed_deviation"]
    assert card.captures[0].measurement is not None
    assert len(card.captures[0].measurement.json_object["readings"]) == 2


def test_a_half_made_object_leaves_nothing(shop: Shop) -> None:
    number = at_before(shop)
    view = taken_in(shop, number)
    broken = copy.deepcopy(measurement_object(reading_object(), reading_object()))
    del broken["readings"][1]["quantity"]
    with pytest.raises(KeyError):
        measured(shop, view.id, broken)
    assert capture_of(shop, view.id) == view
    assert job_card(shop, number).readings == ()


def test_what_could_not_be_measured_is_said_and_the_original_kept(shop: Shop) -> None:
    number = at_before(shop)
    view = take_in(shop, number, "before", "a.wav", io.BytesIO(b"RIFF damaged"))
    failed = not_measured(shop, view.id, "a.wav: the header is damaged. Copy it again.")
    assert (failed.state, failed.problem) == ("failed", "a.wav: the header is damaged. Copy it again.")
    assert shop.files.path_of(view.sha256).read_bytes() == b"RIFF damaged"
    assert job_card(shop, number).next_step.words == (
        "Record a test disc as the deck came, before anything is cleaned. a.wav could not be measured; take it again."
    )


def test_readings_carry_how_they_were_taken(shop: Shop) -> None:
    change_settings(shop, ShopSettings(recorder="bench interface"))
    number = arrived(shop)
    answer_all(shop, number, {"turned_by_hand": "rough"})
    options = CaptureOptions(disc="listening-room-set-up-disc", headshell="number 2")
    measured_one(shop, number, options=options, findings=[])
    conditions = job_card(shop, number).readings[0].reading.conditions
    assert conditions == {
        "main": True,
        "nominal_hz": 3150.0,
        "state": "cold, short",
        "test_disc": "listening-room-set-up-disc",
        "headshell": "number 2",
        "recorder": "bench interface",
    }


def test_could_not_be_read_on_arrival(shop: Shop) -> None:
    number = at_before(shop)
    no_recording_possible(shop, number, "before", "no cartridge")
    card = job_card(shop, number)
    assert [view.words for view in card.no_recordings] == ["could not be read on arrival: no cartridge"]
    assert card.next_step.anchor == "before-functions"
    no_recording_possible(shop, number, "before", "")
    assert job_card(shop, number).no_recordings == ()


def test_there_is_no_such_recording(sqlite_shop: Shop) -> None:
    with pytest.raises(NotFound, match="There is no recording 5"):
        capture_of(sqlite_shop, 5)


def test_a_recording_for_after_needs_the_go_ahead(shop: Shop) -> None:
    with pytest.raises(NotOpenYet, match="the owner has not said yes"):
        taken_in(shop, at_before(shop), "after")
