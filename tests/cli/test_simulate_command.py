"""``spindlewright simulate``: writes the recording and its truth whole, and never over a real recording."""

from __future__ import annotations

import importlib
import json
from pathlib import Path

import numpy as np
import pytest
import soundfile

from spindlewright.cli import main
from spindlewright.simulate.render import render
from spindlewright.simulate.spec import Spec

SHORT = """
[take]
lifted_before_s = 0.1
lead_in_s = 0.1
lead_out_s = 0.1
lifted_after_s = 0.1

[recorder]
rate_hz = 8000
bits = BITS

[[band]]
kind = "tone"
hz = 1000
seconds = 0.5
"""


def write_spec(folder: Path, bits: str = "24") -> Path:
    path = folder / "spec.toml"
    path.write_text(SHORT.replace("BITS", bits), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("bits", "subtype"), [("16", "PCM_16"), ("24", "PCM_24"), ("32", "PCM_32"), ('"float"', "FLOAT")]
)
def test_the_file_holds_exactly_the_rendered_samples(tmp_path: Path, bits: str, subtype: str) -> None:
    import tomllib

    spec, out = write_spec(tmp_path, bits), tmp_path / "a.wav"
    assert main(["simulate", str(spec), str(out)]) == 0
    assert soundfile.info(out).subtype == subtype
    samples, rate = soundfile.read(out, dtype="float64", always_2d=True)
    expected = render(Spec.from_dict(tomllib.loads(spec.read_text(encoding="utf-8"))))
    assert rate == 8000
    np.testing.assert_array_equal(samples, expected.samples.astype(np.float64))


def test_the_truth_lies_beside_it_and_is_what_json_prints(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "a.wav"
    assert main(["simulate", str(write_spec(tmp_path)), str(out), "--json"]) == 0
    printed = capsys.readouterr().out
    assert json.loads(printed) == json.loads((tmp_path / "a.truth.json").read_text(encoding="utf-8"))
    assert json.loads(printed)["bands"][0]["kind"] == "tone"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.truth.json", "a.wav", "spec.toml"]


def test_a_simulated_recording_may_be_made_anew_but_a_real_one_is_kept(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spec, out = write_spec(tmp_path), tmp_path / "a.wav"
    assert main(["simulate", str(spec), str(out)]) == 0
    assert main(["simulate", str(spec), str(out)]) == 0
    (tmp_path / "real.wav").write_bytes(b"a recording of long ago")
    assert main(["simulate", str(spec), str(tmp_path / "real.wav")]) == 2
    assert "--replace" in capsys.readouterr().err
    assert (tmp_path / "real.wav").read_bytes() == b"a recording of long ago"
    assert main(["simulate", str(spec), str(tmp_path / "real.wav"), "--replace"]) == 0


def test_nothing_is_left_behind_when_it_is_stopped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped(*_: object) -> object:
        yield np.zeros((10, 2), np.float32)
        raise KeyboardInterrupt

    monkeypatch.setattr(importlib.import_module("spindlewright.demo.wave_file"), "render_blocks", stopped)
    assert main(["simulate", str(write_spec(tmp_path)), str(tmp_path / "a.wav")]) == 130
    assert [path.name for path in tmp_path.iterdir()] == ["spec.toml"]


@pytest.mark.parametrize(
    ("toml", "out", "hint"),
    [
        ("[[band]\n", "a.wav", "not readable as TOML"),
        ('[[band]]\nkind = "song"\nseconds = 3\n', "a.wav", "must be one of"),
        ("[deck]\nspeed_eror_percent = 1\n", "a.wav", "did you mean"),
        (SHORT.replace("BITS", "24"), "a.mp3", ".wav"),
        (SHORT.replace("BITS", "24"), "nowhere/a.wav", "does not exist"),
    ],
)
def test_wrong_use_is_one_line(
    tmp_path: Path, toml: str, out: str, hint: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "spec.toml").write_text(toml, encoding="utf-8")
    assert main(["simulate", str(tmp_path / "spec.toml"), str(tmp_path / out)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 1
    assert hint in lines[0]
    assert [path.name for path in tmp_path.iterdir()] == ["spec.toml"]


@pytest.mark.parametrize("what", ["missing", "folder", "sound", "null"])
def test_a_specification_that_is_none(tmp_path: Path, what: str, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "x.toml"
    if what == "folder":
        path.mkdir()
    elif what == "sound":
        path.write_bytes(bytes(range(256)) * 10)
    elif what == "null":
        path.write_bytes(b"\0" * 2_000_000)
    assert main(["simulate", str(path), str(tmp_path / "a.wav")]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
