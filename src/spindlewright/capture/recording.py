"""Opening one recording: what it is, its samples in blocks, its SHA-256, and whether it came whole.

The original is opened for reading only and never changed. A long file is never held whole.
"""

from __future__ import annotations

import os
import re
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from types import TracebackType

import numpy as np
import soundfile

from spindlewright.capture.background_hash import BackgroundHash
from spindlewright.capture.declared_length import declared_data
from spindlewright.capture.decoder import Damage, DecodeAhead, SoundReader, decoded
from spindlewright.capture.errors import CaptureError, printable_name
from spindlewright.capture.file_kind import FileState, check_regular, read_first_bytes, refusal
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.capture.not_finite import NotFinite
from spindlewright.capture.ogg_end import ogg_end
from spindlewright.capture.wholeness import fitness_of_file

BLOCK_FRAMES = 32768
"""Frames per block unless asked otherwise: 256 KiB, which a processor's own cache holds."""
LOWEST_RATE_HZ, HIGHEST_RATE_HZ = 8000, 768000
"""Sample rates that can be measured. Below, no flutter tone fits; above, no converter is known (common practice)."""
LONGEST_S = 2 * 3600.0
"""Sound after this time is left out, and ``fitness()`` says so: a side lasts half an hour, and memory and time stay
bounded whatever the file holds."""
LARGEST_BLOCK_VALUES = 1 << 22
"""Bound of a block's frames times channels: a file of 1024 channels takes no more memory than another."""

_WORD_LENGTH = re.compile(r"(?:PCM_[SU]?|ALAC_|DWVW_|DPCM_)(\d+)$")


@dataclass(frozen=True, slots=True)
class RecordingInfo:
    """What the file says of itself.

    ``channels`` is the file's own count (``blocks()`` always gives two columns); ``bits`` is None for coded formats
    without a fixed word length; ``declared_frames`` is how many frames the file promises, None where it was never
    finished and does not say.
    """

    file: str
    sample_rate_hz: int
    channels: int
    frames: int
    bits: int | None
    format: str
    subtype: str
    declared_frames: int | None

    @property
    def duration_s(self) -> float:
        return self.frames / self.sample_rate_hz


@dataclass(frozen=True, slots=True)
class Remark:
    """Something about the file that is no fitness code of the contract; ``measure`` makes a finding of it."""

    code: str
    message: str


class Recording:
    """A recording opened for reading; CaptureError with one clear line when it cannot be.

    Use as a context manager. Example::

        with Recording("side-a.wav") as recording:
            for block in recording.blocks():      # float32 (n, 2), full scale 1
                ...
            print(recording.sha256(), recording.fitness())

    Integer samples have full scale 1 (AES17); floating-point samples over 1 stay as they are; samples that are not
    finite, or beyond 1e10, are handed on as 0 and counted (``not_finite``). A file of one channel gives two equal
    columns; of more than two channels the first two are used and ``remarks()`` says so.
    """

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self._name = os.fspath(path)
        self._path = os.path.abspath(self._name)
        self._state = check_regular(self._path, self._name)
        self._unfinished_at: int | None = None
        self._data_at: int | None = None
        self.info = self._read_info()
        self._hash: BackgroundHash | None = None
        self._lock = threading.Lock()
        self._active: list[DecodeAhead] = []
        self._not_finite = NotFinite() if self.info.subtype in ("FLOAT", "DOUBLE") else None
        self._damage: dict[int, Damage] = {}
        self._whole_pass_begun = False
        self._closed = False

    def _read_info(self) -> RecordingInfo:
        name = self._name
        first = read_first_bytes(self._path, name)
        promised = declared_data(self._path)
        if promised is not None:
            self._unfinished_at, self._data_at = promised.unfinished_at, promised.offset
        try:
            with SoundReader(self._path, self._unfinished_at) as reader:
                sound = reader.sound
                rate, channels, frames = sound.samplerate, sound.channels, sound.frames
                kind, subtype = sound.format, sound.subtype
        except soundfile.SoundFileError as problem:
            raise CaptureError(name, refusal(first, _decoder_words(problem))) from None
        except OSError as problem:
            raise CaptureError(name, f"the file cannot be opened ({problem.strerror or problem}).") from None
        if not LOWEST_RATE_HZ <= rate <= HIGHEST_RATE_HZ:
            raise CaptureError(
                name,
                f"its header gives a sample rate of {rate} Hz; {LOWEST_RATE_HZ} to {HIGHEST_RATE_HZ} Hz can be "
                "measured. The header is damaged, or this is not a recording of a record deck.",
            )
        if frames <= 0:
            raise CaptureError(name, "it holds a header but no sound. Record again, or copy it again.")
        declared: int | None = frames
        if promised is not None:
            declared = None if promised.declared_bytes is None else round(frames / promised.share_present)
        elif kind == "OGG":
            end = ogg_end(self._path, rate)
            declared = end.frames if end is not None and end.finished else None
        self._unclaimed_bytes = promised.unclaimed_bytes if promised is not None else 0
        word = _WORD_LENGTH.match(subtype)
        bits = int(word.group(1)) if word else {"FLOAT": 32, "DOUBLE": 64}.get(subtype)
        return RecordingInfo(printable_name(name), rate, channels, frames, bits, kind, subtype, declared)

    def __enter__(self) -> Recording:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, at: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """End every thread and close every descriptor; may be called twice."""
        self._closed = True
        with self._lock:
            active, self._active = self._active, []
        for ahead in active:
            ahead.close()
        if self._hash is not None:
            self._hash.stop()

    def blocks(self, frames: int = BLOCK_FRAMES, start: int = 0, stop: int | None = None) -> Iterator[np.ndarray]:
        """The samples of frames ``[start, stop)`` as float32 (≤ ``frames``, 2), in order; only the last is shorter
        (and one before a damaged place).

        Decoded ahead in a thread. A block's memory is used again only when nobody holds it any more, so blocks may be
        kept. Several calls may run at the same time. The first call begins the hashing. ValueError for a position
        outside the file. Sound that cannot be decoded ends the blocks early; ``fitness()`` says so.
        """
        if frames < 1:
            raise ValueError(f"blocks of {frames} frames: at least 1 is needed")
        last = min(self.info.frames, round(LONGEST_S * self.info.sample_rate_hz))
        end = last if stop is None else min(stop, self.info.frames)
        if start < 0 or end < 0:
            raise ValueError(f"frames {start} to {stop}: positions count from the start of the file, none is below 0")
        size = max(1, min(frames, LARGEST_BLOCK_VALUES // self.info.channels))
        return self._blocks(size, start, end, whole=start == 0 and end >= last)

    def _blocks(self, size: int, start: int, end: int, *, whole: bool) -> Iterator[np.ndarray]:
        if self._closed:
            raise ValueError(f"{self.info.file}: this recording is closed")
        if start >= end:
            return
        self.begin_hashing()
        with self._lock:
            counts = whole or not self._whole_pass_begun
            self._whole_pass_begun = self._whole_pass_begun or whole
        inspector = self._not_finite.start(whole) if self._not_finite is not None else None

        def note(damage: Damage) -> None:
            if counts:
                with self._lock:
                    self._damage[damage.start] = damage

        def make() -> Iterator[np.ndarray]:
            return decoded(self._open_again, size, start, end, inspector, note)

        ahead = DecodeAhead(make)
        with self._lock:
            self._active.append(ahead)
        try:
            yield from ahead
        finally:
            ahead.close()
            with self._lock:
                if ahead in self._active:
                    self._active.remove(ahead)

    def _open_again(self) -> SoundReader:
        try:
            if not self._is_same_file():
                raise CaptureError(
                    self._name, "the file was replaced by another while it was measured. Measure again."
                )
            return SoundReader(self._path, self._unfinished_at, self._data_at)
        except (OSError, soundfile.SoundFileError) as problem:
            raise CaptureError(
                self._name,
                f"the file can no longer be read ({_decoder_words(problem)}). Put it back and measure again.",
            ) from None

    def _is_same_file(self) -> bool:
        now = FileState.of(self._path)
        return (now.inode, now.device) == (self._state.inode, self._state.device)

    def begin_hashing(self) -> BackgroundHash:
        """Start the thread that works out the SHA-256, unless it runs already."""
        with self._lock:
            if self._hash is None:
                self._hash = BackgroundHash(self._path)
            return self._hash

    def sha256(self) -> str:
        """SHA-256 of the file as it came, 64 hexadecimal digits; waits for the hashing that the first pass began."""
        try:
            return self.begin_hashing().hexdigest()
        except OSError as problem:
            raise CaptureError(
                self._name, f"the file can no longer be read ({problem.strerror or problem}). Measure again."
            ) from None

    def changed(self) -> bool:
        """True when somebody wrote to the file, or took it away, since it was opened."""
        try:
            return FileState.of(self._path) != self._state
        except OSError:
            return True

    def fitness(self) -> tuple[FitnessItem, ...]:
        """What is wrong with the file as a file; complete once all blocks have been taken."""
        items = fitness_of_file(
            rate_hz=self.info.sample_rate_hz,
            frames=self.info.frames,
            declared_frames=self.info.declared_frames,
            lossy=self.info.bits is None,
            damage=tuple(self._damage[start] for start in sorted(self._damage)),
            longest_s=LONGEST_S,
            unclaimed_bytes=self._unclaimed_bytes,
            changed=self.changed(),
        )
        if self._not_finite is not None:
            items += self._not_finite.fitness(self.info.sample_rate_hz)
        return items

    def remarks(self) -> tuple[Remark, ...]:
        """What was done with the file that its reader should know."""
        if self.info.channels <= 2:
            return ()
        return (
            Remark(
                "channels_left_out",
                f"The file has {self.info.channels} channels. The first was taken as left, the second as right; "
                "the others were left out.",
            ),
        )


def _decoder_words(problem: Exception) -> str:
    words = str(getattr(problem, "error_string", "") or getattr(problem, "strerror", "") or problem)
    return " ".join(words.split()).rstrip(".")
