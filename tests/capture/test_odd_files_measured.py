"""The odd files through the whole measurement: nothing hangs, crashes, litters or passes in silence."""

from __future__ import annotations

import os
import resource
import threading
from pathlib import Path

import pytest
from odd_files import ODD_FILES, OddFile, wav_bytes

from spindlewright.capture.errors import CaptureError
from spindlewright.contract import to_json_line, to_json_object
from spindlewright.measure import measure

SPEAKS_OF_BANDS = {"too_short", "no_tone", "nominal_doubt", "many_ticks", "gain_changes", "missing_samples"}
"""Codes that the finding of bands may rightly add to two seconds of sound."""


@pytest.fixture(scope="module", autouse=True)
def _what_a_process_opens_once(tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.mktemp("first") / "side.wav"
    path.write_bytes(wav_bytes())
    measure(path)


@pytest.mark.parametrize("odd", ODD_FILES, ids=lambda odd: odd.name)
def test_odd_file_measured(odd: OddFile, tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    path = odd.make(tmp_path)
    threads, descriptors = threading.active_count(), len(os.listdir("/proc/self/fd"))
    files = sorted(os.listdir(tmp_path))
    if odd.refused is None:
        measurement = measure(path)
        codes = {item.code for item in measurement.fitness} | {finding.code for finding in measurement.findings}
        assert odd.told <= codes
        assert {item.code for item in measurement.fitness} <= odd.told | SPEAKS_OF_BANDS, "no false alarm"
        assert measurement.readings or codes, "nothing may pass in silence"
        assert "\n" not in to_json_line(to_json_object(measurement))
    else:
        with pytest.raises(CaptureError) as refusal:
            measure(path)
        assert str(refusal.value).isprintable()
    assert threading.active_count() == threads
    assert len(os.listdir("/proc/self/fd")) <= descriptors
    assert sorted(os.listdir(tmp_path)) == files
    assert capfd.readouterr() == ("", "")
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss < 1 << 20
