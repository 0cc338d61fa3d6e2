"""Odd and broken files, made on the fly: what each must be told about it, or why it must be refused.

``ODD_FILES`` is the list; each entry makes one file in an empty folder. Formats come from libsndfile, damage from
bytes written by hand.
"""

from __future__ import annotations

import os
import socket
import struct
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import soundfile
from made_sounds import music_like, quantised, tone

SECONDS = 2.5
Make = Callable[[Path], Path]


@dataclass(frozen=True)
class OddFile:
    """``refused``: words of the one line that refuses it, None when it opens; then ``told`` are the fitness codes (or
    codes of remarks) it must carry, and no others of this room."""

    name: str
    make: Make
    refused: str | None = None
    told: frozenset[str] = frozenset()


ODD_FILES: list[OddFile] = []


def odd(name: str, *, refused: str | None = None, told: str = "") -> Callable[[Make], Make]:
    def keep(make: Make) -> Make:
        ODD_FILES.append(OddFile(name, make, refused, frozenset(told.split())))
        return make

    return keep


def write(path: Path, sound: np.ndarray, rate: int = 48000, subtype: str = "PCM_24", kind: str = "WAV") -> Path:
    soundfile.write(path, sound, rate, subtype, format=kind)
    return path


@cache
def wav_bytes(subtype: str = "PCM_24", kind: str = "WAV", rate: int = 48000) -> bytes:
    """A sound file of ``SECONDS`` in memory."""
    import io

    buffer = io.BytesIO()
    soundfile.write(buffer, tone(rate, SECONDS), rate, subtype, format=kind)
    return buffer.getvalue()


def altered(folder: Path, name: str, change: Callable[[bytearray], None], source: bytes | None = None) -> Path:
    data = bytearray(source if source is not None else wav_bytes())
    change(data)
    path = folder / name
    path.write_bytes(data)
    return path


def set_field(after: bytes, offset: int, form: str, value: int) -> Callable[[bytearray], None]:
    """Write ``value`` at ``offset`` bytes behind the chunk name ``after``."""

    def change(data: bytearray) -> None:
        struct.pack_into(form, data, data.index(after) + offset, value)

    return change


# ---- every container, word length and rate that libsndfile writes -------------------------------------------------

FORMATS = [
    ("WAV", "PCM_U8"), ("WAV", "PCM_16"), ("WAV", "PCM_24"), ("WAV", "PCM_32"), ("WAV", "FLOAT"), ("WAV", "DOUBLE"),
    ("WAV", "ULAW"), ("WAV", "ALAW"), ("WAV", "IMA_ADPCM"), ("WAV", "MS_ADPCM"), ("WAVEX", "PCM_24"),
    ("RF64", "PCM_16"), ("W64", "PCM_24"), ("AIFF", "PCM_S8"), ("AIFF", "PCM_24"), ("AIFF", "DOUBLE"),
    ("AU", "PCM_16"), ("AU", "FLOAT"),
    ("CAF", "PCM_24"), ("CAF", "ALAC_24"), ("FLAC", "PCM_16"), ("FLAC", "PCM_24"), ("OGG", "VORBIS"), ("OGG", "OPUS"),
    ("MP3", "MPEG_LAYER_III"), ("NIST", "PCM_16"), ("VOC", "PCM_16"), ("IRCAM", "FLOAT"),
    ("MAT5", "DOUBLE"), ("PVF", "PCM_16"), ("AVR", "PCM_16"),
]  # fmt: skip


def _of_format(kind: str, subtype: str) -> Make:
    def make(folder: Path) -> Path:
        return write(folder / f"side.{kind.lower()}", tone(48000, SECONDS), 48000, subtype, kind)

    return make


for _kind, _subtype in FORMATS:
    odd(f"format {_kind} {_subtype}")(_of_format(_kind, _subtype))


def _of_rate(rate: int) -> Make:
    return lambda folder: write(folder / "side.wav", tone(rate, SECONDS), rate)


for _rate in (8000, 11025, 16000, 22050, 32000, 44100, 88200, 96000, 176400, 192000, 352800, 384000, 768000):
    odd(f"rate {_rate}")(_of_rate(_rate))


# ---- headers that lie ----------------------------------------------------------------------------------------------


def _header(name: str, after: bytes, offset: int, form: str, value: int) -> Make:
    return lambda folder: altered(folder, name, set_field(after, offset, form, value))


odd("length 0, recorder was stopped", told="truncated")(_header("a.wav", b"data", 4, "<I", 0))
odd("length unknown", told="truncated")(_header("a.wav", b"data", 4, "<I", 0xFFFFFFFF))
odd("length placeholder", told="truncated")(_header("a.wav", b"data", 4, "<I", 0x7FFFF000))
odd("length about half", told="truncated")(_header("a.wav", b"data", 4, "<I", 399_996))
odd("length of one frame", told="truncated too_short too_quiet")(_header("a.wav", b"data", 4, "<I", 6))
odd("rate 0", refused="damaged")(_header("a.wav", b"fmt ", 12, "<I", 0))
odd("rate 1", refused="sample rate of 1 Hz")(_header("a.wav", b"fmt ", 12, "<I", 1))
odd("rate 4000", refused="sample rate of 4000 Hz")(_header("a.wav", b"fmt ", 12, "<I", 4000))
odd("rate absurd", refused="sample rate of 2147483647 Hz")(_header("a.wav", b"fmt ", 12, "<I", 2**31 - 1))
odd("rate negative", refused="damaged")(_header("a.wav", b"fmt ", 12, "<I", 2**32 - 1))
odd("channels 0", refused="Channel count is zero")(_header("a.wav", b"fmt ", 10, "<H", 0))
odd("channels 65535", refused="Too many channels")(_header("a.wav", b"fmt ", 10, "<H", 65535))
odd("channels 1024", told="channels_left_out too_short")(_header("a.wav", b"fmt ", 10, "<H", 1024))
odd("bits 0", refused="damaged")(_header("a.wav", b"fmt ", 22, "<H", 0))
odd("bits 255", refused="damaged")(_header("a.wav", b"fmt ", 22, "<H", 255))
odd("format number unknown", refused="damaged")(_header("a.wav", b"fmt ", 8, "<H", 0x1234))


@odd("no fmt chunk", refused="damaged")
def _no_fmt(folder: Path) -> Path:
    return altered(folder, "a.wav", lambda data: data.__setitem__(slice(12, 16), b"fmx "))


@odd("no data chunk", refused="")
def _no_data(folder: Path) -> Path:
    return altered(
        folder, "a.wav", lambda data: data.__setitem__(slice(data.index(b"data"), data.index(b"data") + 4), b"dat!")
    )


@odd("header of a WAV only", refused="no sound")
def _header_only(folder: Path) -> Path:
    return altered(folder, "a.wav", lambda data: data.__delitem__(slice(44, None)))


@odd("half a header", refused="damaged")
def _half_header(folder: Path) -> Path:
    return altered(folder, "a.wav", lambda data: data.__delitem__(slice(20, None)))


@odd("big endian RIFX")
def _rifx(folder: Path) -> Path:
    soundfile.write(folder / "a.wav", tone(48000, SECONDS), 48000, "PCM_16", endian="BIG", format="WAV")
    return folder / "a.wav"


# ---- cut and damaged ------------------------------------------------------------------------------------------------


def _cut(kind: str, subtype: str, share: float = 0.5) -> Make:
    def make(folder: Path) -> Path:
        data = wav_bytes(subtype, kind)
        path = folder / f"cut.{kind.lower()}"
        path.write_bytes(data[: round(len(data) * share)])
        return path

    return make


for _kind, _subtype in [
    ("WAV", "PCM_24"), ("RF64", "PCM_16"), ("W64", "PCM_24"), ("AIFF", "PCM_24"), ("AU", "PCM_16"), ("FLAC", "PCM_16"),
    ("MP3", "MPEG_LAYER_III"),
]:  # fmt: skip
    odd(f"cut {_kind}", told="truncated")(_cut(_kind, _subtype))
odd("cut OGG", told="truncated")(_cut("OGG", "VORBIS", 0.9))
odd("cut CAF", refused="damaged")(_cut("CAF", "PCM_24"))


@odd("FLAC with a flipped byte", told="truncated drop_out")
def _flipped_flac(folder: Path) -> Path:
    source = wav_bytes("PCM_16", "FLAC")
    return altered(folder, "flip.flac", lambda d: d.__setitem__(len(d) // 2, d[len(d) // 2] ^ 0x55), source)


@odd("MP3 with a hole", told="truncated drop_out")
def _holed_mp3(folder: Path) -> Path:
    source = wav_bytes("MPEG_LAYER_III", "MP3")
    half = len(source) // 2
    return altered(folder, "hole.mp3", lambda d: d.__setitem__(slice(half, half + 6000), bytes(6000)), source)


# ---- not sound at all -----------------------------------------------------------------------------------------------


def _bytes(name: str, content: bytes) -> Make:
    def make(folder: Path) -> Path:
        (folder / name).write_bytes(content)
        return folder / name

    return make


odd("empty", refused="empty")(_bytes("a.wav", b""))
odd("one byte", refused="not")(_bytes("a.wav", b"R"))
odd("RIFF and nothing more", refused="damaged")(_bytes("a.wav", b"RIFF"))
odd("text", refused="text file")(_bytes("notes.wav", "Side A: 3150 Hz, Größe\n".encode() * 500))
odd("PNG", refused="PNG picture")(_bytes("a.png", b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 20))
odd("PDF", refused="PDF document")(_bytes("a.pdf", b"%PDF-1.7\n" + bytes(range(256)) * 20))
odd("MPEG-4", refused="MPEG-4")(_bytes("a.m4a", b"\0\0\0\x20ftypM4A " + bytes(range(256)) * 20))
odd("random bytes", refused="not a sound file")(_bytes("a.flac", np.random.default_rng(3).bytes(50_000)))
odd("zeros", refused="nothing but zeros")(_bytes("a.wav", bytes(100_000)))
odd("zeros named mp3", refused="nothing but zeros")(_bytes("a.mp3", bytes(100_000)))
odd("headerless samples", refused="not a sound file")(
    _bytes("a.raw", (tone(48000, 1.0) * 32767).astype("<i2").tobytes())
)


@odd("ZIP", refused="ZIP archive")
def _zip(folder: Path) -> Path:
    with zipfile.ZipFile(folder / "a.zip", "w") as archive:
        archive.writestr("a.wav", wav_bytes())
    return folder / "a.zip"


@odd("folder", refused="a folder")
def _folder(folder: Path) -> Path:
    (folder / "side.wav").mkdir()
    return folder / "side.wav"


@odd("missing", refused="no such file")
def _missing(folder: Path) -> Path:
    return folder / "nowhere.wav"


@odd("below a file", refused="not a folder")
def _below(folder: Path) -> Path:
    (folder / "file").write_text("x")
    return folder / "file" / "side.wav"


@odd("pipe", refused="a pipe")
def _pipe(folder: Path) -> Path:
    os.mkfifo(folder / "pipe.wav")
    return folder / "pipe.wav"


@odd("link to a pipe", refused="a pipe")
def _link_to_pipe(folder: Path) -> Path:
    os.mkfifo(folder / "pipe")
    (folder / "side.wav").symlink_to(folder / "pipe")
    return folder / "side.wav"


@odd("socket", refused="a socket")
def _socket(folder: Path) -> Path:
    here = Path.cwd()
    os.chdir(folder)  # the path of a socket may not be long
    try:
        with socket.socket(socket.AF_UNIX) as opened:
            opened.bind("s.wav")
    finally:
        os.chdir(here)
    return folder / "s.wav"


@odd("device", refused="a device")
def _device(folder: Path) -> Path:
    return Path("/dev/zero")


@odd("broken link", refused="link")
def _broken_link(folder: Path) -> Path:
    (folder / "side.wav").symlink_to(folder / "gone.wav")
    return folder / "side.wav"


@odd("link in a circle", refused="cannot be used")
def _circle(folder: Path) -> Path:
    (folder / "a.wav").symlink_to(folder / "a.wav")
    return folder / "a.wav"


@odd("name too long", refused="cannot be used")
def _long_name(folder: Path) -> Path:
    return folder / ("a" * 300 + ".wav")


@odd("sparse 2 GiB without a header", refused="nothing but zeros")
def _sparse_headless(folder: Path) -> Path:
    with open(folder / "a.wav", "wb") as file:
        file.truncate(2 << 30)
    return folder / "a.wav"


# ---- odd names ------------------------------------------------------------------------------------------------------

for _name in (
    "side a.wav",
    "-r.wav",
    "Größe Ⅲ 🎵.wav",
    "two\nlines.wav",
    "tab\there.wav",
    "quote'\".wav",
    "noending",
    "a.raw",
):
    odd(f"name {_name!r}")(_bytes(_name, wav_bytes()))


@odd("name that is not text")
def _not_text(folder: Path) -> Path:
    path = os.fsencode(folder) + b"/side\xff\xfe.wav"
    with open(path, "wb") as file:
        file.write(wav_bytes())
    return Path(os.fsdecode(path))


@odd("link to a recording")
def _link(folder: Path) -> Path:
    (folder / "true.wav").write_bytes(wav_bytes())
    (folder / "side.wav").symlink_to(folder / "true.wav")
    return folder / "side.wav"


# ---- odd sound ------------------------------------------------------------------------------------------------------


def _sound(make_sound: Callable[[], np.ndarray], subtype: str = "PCM_24", rate: int = 48000) -> Make:
    return lambda folder: write(folder / "side.wav", make_sound(), rate, subtype)


def _with(change: Callable[[np.ndarray], None], peak: float = 0.25) -> Callable[[], np.ndarray]:
    def make() -> np.ndarray:
        sound = tone(48000, SECONDS, peak=peak)
        change(sound)
        return sound

    return make


odd("digital silence", told="too_quiet")(_sound(lambda: np.zeros((120_000, 2))))
odd("silence of one frame", told="too_quiet too_short")(_sound(lambda: np.zeros((1, 2))))
odd("one frame", told="too_quiet too_short")(_sound(lambda: np.full((1, 2), 0.5)))
odd("ten frames", told="too_short")(_sound(lambda: tone(48000, 10 / 48000), "FLOAT"))
odd("half a second", told="too_short")(_sound(lambda: tone(48000, 0.5)))
odd("one channel", told="mono")(_sound(lambda: tone(48000, SECONDS)[:, :1]))
odd("six channels", told="channels_left_out")(_sound(lambda: np.tile(tone(48000, SECONDS), (1, 3))))
odd("not a number", told="not_finite")(_sound(_with(lambda s: s.__setitem__((1000, 0), np.nan)), "FLOAT"))
odd("infinite", told="not_finite")(_sound(_with(lambda s: s.__setitem__((slice(5, 9), 1), -np.inf)), "DOUBLE"))
odd("nothing but NaN", told="not_finite too_quiet")(_sound(lambda: np.full((100_000, 2), np.nan), "FLOAT"))
odd("beyond float", told="not_finite")(_sound(_with(lambda s: s.__setitem__((1000, 0), 1e300)), "DOUBLE"))
odd("absurdly large", told="not_finite")(_sound(_with(lambda s: s.__setitem__((1000, 0), 4e37)), "FLOAT"))
odd("whole numbers as float")(_sound(lambda: 32767 * tone(48000, SECONDS), "FLOAT"))
odd("float over 1")(_sound(lambda: tone(48000, SECONDS, peak=3.0), "FLOAT"))
odd("clipped", told="clipped")(_sound(lambda: quantised(tone(48000, SECONDS, peak=1.5), 16), "PCM_16"))
odd("offset", told="offset")(_sound(_with(lambda s: s.__iadd__(0.1))))
odd("left dead", told="channel_dead")(_sound(_with(lambda s: s.__setitem__((slice(None), 0), 0.0))))
odd("same twice", told="mono")(_sound(_with(lambda s: s.__setitem__((slice(None), 1), s[:, 0]))))
odd("drop-outs", told="drop_out")(_sound(_with(lambda s: s.__setitem__(slice(50_000, 50_400), 0.0))))
odd("music", told="")(_sound(lambda: music_like(48000, SECONDS), "PCM_16"))
