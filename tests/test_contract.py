"""The object that ``--json`` prints. Witness: the field lists of the reading contract, copied here by hand."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from example_measurement import CURVE, TONE, example, reading
from spindlewright.bands.band import Levels
from spindlewright.bands.lines import decibels
from spindlewright.contract import band_object, to_json_line, to_json_object

FIELDS = {
    "capture": "file sha256 sample_rate_hz channels duration_s bits",
    "fitness": "code severity channel message evidence",
    "bands": "index start_s end_s kind frequency_hz nominal_hz from_hz to_hz level_dbfs layout_name",
    "readings": "quantity value unit uncertainty coverage budget channel band method source method_version "
    "conditions limit verdict",
    "findings": "code message evidence band",
}


def line(**changes: object) -> dict:
    return json.loads(to_json_line(to_json_object(example(**changes))))


def test_every_field_is_there_and_no_other() -> None:
    parsed = line()
    assert list(parsed) == ["capture", "fitness", "bands", "readings", "findings", "curves"]
    assert set(parsed["capture"]) == set(FIELDS["capture"].split())
    for name in ("fitness", "bands", "readings", "findings"):
        for entry in parsed[name]:
            assert set(entry) == set(FIELDS[name].split())


def test_nested_objects_have_the_fields_of_the_contract() -> None:
    parsed = line(curves=(CURVE,))
    assert set(parsed["bands"][0]["level_dbfs"]) == {"left", "right"}
    assert set(parsed["readings"][0]["budget"][0]) == {"name", "standard_uncertainty", "distribution"}
    assert set(parsed["readings"][0]["limit"]) == {"low", "high", "source"}
    assert set(parsed["curves"]["deviation_over_time"]) == {"x", "x_unit", "y", "y_unit", "band", "channel"}


def test_what_does_not_apply_is_null() -> None:
    parsed = line(curves=None)
    assert parsed["curves"] is None
    without_limit = next(r for r in parsed["readings"] if r["quantity"] == "rotation_rate")
    assert without_limit["limit"] is None
    assert without_limit["verdict"] is None
    assert parsed["bands"][1]["frequency_hz"] is None


def test_band_times_are_given_to_a_tenth_of_a_second() -> None:
    band = line()["bands"][0]
    assert (band["start_s"], band["end_s"]) == (2.0, 62.1)


def test_a_level_of_pure_zeros_is_null_because_json_has_no_infinity() -> None:
    assert line()["bands"][1]["level_dbfs"] == {"left": -20.0, "right": None}
    zeros = band_object(replace(TONE, level_dbfs=Levels(float(decibels(0.01)), float(decibels(0.0)))))
    assert zeros["level_dbfs"] == {"left": pytest.approx(-20.0), "right": None}


def test_numpy_values_in_evidence_and_conditions_become_plain() -> None:
    conditions = {
        "lines": [{"order": np.int64(1), "level_dbfs": np.float32(-70.5)}],
        "main": np.bool_(True),
        "x": np.arange(3),
    }
    parsed = line(readings=(reading("hum", -70.0, 0.5, "dB", conditions=conditions),))
    assert parsed["readings"][0]["conditions"] == {
        "lines": [{"order": 1, "level_dbfs": -70.5}],
        "main": True,
        "x": [0, 1, 2],
    }


def test_curves_of_the_same_name_are_kept_apart_by_band() -> None:
    from dataclasses import replace

    parsed = line(curves=(CURVE, replace(CURVE, band=4), replace(CURVE, band=4)))
    assert list(parsed["curves"]) == [
        "deviation_over_time",
        "deviation_over_time_band_4",
        "deviation_over_time_band_4_2",
    ]


def test_the_line_is_one_line_of_ascii_whatever_the_file_is_called() -> None:
    from dataclasses import replace

    measured = example()
    strange = replace(measured.capture, file="side\nA\udce9 ±.wav")
    text = to_json_line(to_json_object(replace(measured, capture=strange)))
    assert "\n" not in text
    assert text.isascii()
    assert json.loads(text)["capture"]["file"] == "side\nA\udce9 ±.wav"


@pytest.mark.parametrize("value", [float("nan"), float("inf"), np.float64("-inf")])
def test_no_number_is_ever_written_that_json_does_not_know(value: float) -> None:
    parsed = line(readings=(reading("hum", 1.0, 1.0, "dB", conditions={"x": value, "y": np.array([value, 1.0])}),))
    assert parsed["readings"][0]["conditions"] == {"x": None, "y": [None, 1.0]}
