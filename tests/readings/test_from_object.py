"""Readings made again from stored objects are the readings that were stored."""

from __future__ import annotations

import json
from dataclasses import replace

from readings.hand_made import made
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.contract import finding_object, fitness_object, reading_object
from spindlewright.readings.from_object import finding_from_object, fitness_from_object, reading_from_object
from spindlewright.readings.reading import Finding, Limit
from spindlewright.standards.jcgm_101_2008 import Contribution, rectangular


def test_a_reading_comes_back_as_it_went() -> None:
    reading = made("azimuth_error", 1.2, Contribution("noise", 0.1), rectangular("phase", 0.2), unit="°", main=True)
    reading = replace(reading, limit=Limit(-2.0, 2.0, "own"), verdict="within", band=3)
    assert reading_from_object(json.loads(json.dumps(reading_object(reading)))) == reading


def test_findings_and_fitness_come_back_as_they_went() -> None:
    finding = Finding("inverted", "One channel is upside down.", {"bands": [1]}, 2)
    item = FitnessItem("clipped", "stop", "Clipped.", "left", {"share": 0.1})
    assert finding_from_object(json.loads(json.dumps(finding_object(finding)))) == finding
    assert fitness_from_object(json.loads(json.dumps(fitness_object(item)))) == item
