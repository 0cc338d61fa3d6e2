"""Method and conditions: what each recording is, and how each quantity was read from it."""

from __future__ import annotations

from spindlewright.readings.hand_readings import METHOD as BY_HAND
from spindlewright.sheets.sheet_content import HowRead, Source, TakenRecording
from spindlewright.shop.views.card import JobCard
from spindlewright.shop.views.recordings import CaptureView
from spindlewright.shop.views.stages import TITLES
from spindlewright.wording import length_in_words, title

CHAINS = {
    "riaa": "through an equalising phono input",
    "flat": "through an input that does not equalise",
    "unknown": "through an input of unknown equalisation",
}


def taken_recordings(card: JobCard) -> tuple[TakenRecording, ...]:
    """Every recording of the job, measured or not, with what is known of it."""
    return tuple(
        TakenRecording(TITLES[capture.stage], capture.file_name, _how_it_was_made(capture))
        for capture in card.captures
    )


def _how_it_was_made(capture: CaptureView) -> str:
    options = capture.options
    parts = [f"taken in on {capture.received_at.date().isoformat()}"]
    if capture.measurement is not None:
        made = capture.measurement.json_object["capture"]
        bits = f", {made['bits']} bit" if made.get("bits") else ""
        parts.append(f"{made['sample_rate_hz'] / 1000:g} kHz{bits}, {length_in_words(made['duration_s'])}")
    if options.arm_lifted:
        parts.append("arm lifted, no disc")
    else:
        parts.append(f"disc {options.disc}" if options.disc else "disc not named")
    if options.rpm:
        parts.append(f"{options.rpm:.5g} rpm")
    parts.append(CHAINS[options.chain])
    if capture.cold_short:
        parts.append("conditions: cold, short")
    if options.headshell:
        parts.append(f"with the shop's headshell {options.headshell}")
    if options.recorder:
        parts.append(f"recorder {options.recorder}")
    if options.note:
        parts.append(options.note)
    parts.append(f"SHA-256 {capture.sha256[:16]}…")
    if capture.state == "failed":
        parts.append(f"not measured: {capture.problem}")
    elif capture.measurement is not None:
        version = capture.measurement.engine_version
        parts.append(f"measured by version {version if version[:1].isdigit() else 'unknown'}")
    remarks = [str(item["message"]) for item in capture.fitness if item.get("severity") != "info"]
    return "; ".join(parts) + ("." if not remarks else ". Remarks: " + " ".join(dict.fromkeys(remarks)))


def how_read(card: JobCard) -> tuple[tuple[HowRead, ...], tuple[Source, ...]]:
    """Each method once, with the quantities read by it, and the sources by number in the words of the readings."""
    ways: dict[tuple[str, str], dict[str, None]] = {}
    for view in card.readings:
        reading = view.reading
        if view.withdrawn or view.stage not in ("before", "after") or reading.conditions.get("main") is False:
            continue
        names = ways.setdefault((reading.method, reading.source), {})
        names.setdefault(_name(reading.quantity, reading.method))
    numbers: dict[str, str] = {}
    rows = []
    for (method, source), names in ways.items():
        marks = [numbers.setdefault(part, str(len(numbers) + 1)) for part in source_parts(source)]
        rows.append(HowRead(", ".join(names), method, ", ".join(marks)))
    return tuple(rows), tuple(Source(number, words) for words, number in numbers.items())


def source_parts(source: str) -> list[str]:
    """The single sources of a reading: what stands between semicolons, unless in brackets.

    >>> source_parts("readings contract; least squares (derived; from memory)")
    ['own definition', 'least squares (derived; from memory)']
    """
    parts, depth, start = [], 0, 0
    for place, character in enumerate(source):
        depth += (character == "(") - (character == ")")
        if character == ";" and depth == 0:
            parts.append(source[start:place])
            start = place + 1
    parts.append(source[start:])
    return [part.strip().replace("readings contract", "own definition") for part in parts if part.strip()]


def _name(quantity: str, method: str) -> str:
    words = title(quantity)
    if quantity.startswith("wow_flutter"):
        words = f"Wow and flutter {words[:1].lower()}{words[1:]}"
    return words.replace(",", "") if method != BY_HAND else words
