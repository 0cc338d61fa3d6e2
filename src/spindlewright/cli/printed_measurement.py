"""A measurement as a technician reads it: fitness first, then one headline, then the readings.

Works on the object of the reading contract, the same that ``--json`` prints, so both can only say the same.
"""

from __future__ import annotations

from typing import Any

from rich.text import Text

from spindlewright.cli.paper import ACCENT, INDENT, QUIET, Paper
from spindlewright.cli.printed_bands import print_bands
from spindlewright.cli.printed_readings import print_limit_sources, print_readings
from spindlewright.reading_words import main_readings, measured
from spindlewright.wording import counted, length_in_words, listed, quantities_in_words, title


def print_measurement(paper: Paper, measurement: dict[str, Any]) -> None:
    """The whole page."""
    _print_capture(paper, measurement["capture"])
    _print_fitness(paper, measurement["fitness"])
    _print_headline(paper, measurement["readings"])
    print_readings(paper, measurement["readings"])
    _print_findings(paper, measurement["findings"])
    print_bands(paper, measurement["bands"])
    _print_curves(paper, measurement["curves"])
    print_limit_sources(paper, measurement["readings"])
    paper.line()


def _print_capture(paper: Paper, capture: dict[str, Any]) -> None:
    bits = f", {capture['bits']} bit" if capture["bits"] else ""
    channels = counted(capture["channels"], "channel")
    paper.rule()
    paper.line(Text(str(capture["file"]), style="bold"))
    rate = f"{capture['sample_rate_hz'] / 1000:g} kHz"
    length = length_in_words(capture["duration_s"])
    paper.line(Text(f"{rate}{bits}, {channels}, {length}  SHA-256 {capture['sha256'][:12]}…", style=QUIET))
    paper.rule()


def fitness_in_words(fitness: list[dict[str, Any]]) -> str:
    """One sentence on whether the recording is fit to measure."""
    stops = sum(item["severity"] == "stop" for item in fitness)
    warnings = len(fitness) - stops
    if stops:
        return "Not fit for every reading: what is marked STOP spoils readings, and those are left out."
    if warnings:
        return f"Fit to measure, with {counted(warnings, 'remark')}."
    return "Fit to measure."


def _print_fitness(paper: Paper, fitness: list[dict[str, Any]]) -> None:
    stopped = any(item["severity"] == "stop" for item in fitness)
    paper.paragraph(fitness_in_words(fitness), style=ACCENT if stopped else "bold", indent="")
    for item in sorted(fitness, key=lambda item: item["severity"] != "stop"):
        stop = item["severity"] == "stop"
        where = f"{item['channel']}: " if item["channel"] else ""
        mark = f"{INDENT}{'STOP' if stop else 'note'}  "
        code = f" ({item['code'].replace('_', ' ')})"
        hang = " " * len(mark)
        paper.paragraph(where + item["message"] + code, style=ACCENT if stop else "", indent=hang, first=mark)
        if stop and (left_out := _left_out_by(item["code"])):
            paper.paragraph(f"Leaves out, where it applies: {left_out}.", style=QUIET, indent=hang)


def _left_out_by(code: str) -> str:
    from spindlewright.capture.fitness_codes import FITNESS_CODES

    entry = FITNESS_CODES.get(code)
    return quantities_in_words(quantity for spoil in entry.spoils for quantity in spoil.quantities) if entry else ""


def headline(readings: list[dict[str, Any]]) -> str:
    """What matters most in one or two sentences: the speed, the flutter, how many limits are kept."""
    sentences = [speed_in_words(readings)]
    flutter = _main(readings, "wow_flutter_weighted")
    if flutter is not None:
        sentences.append(f"Wow and flutter, weighted, is {measured(flutter)}.")
    judged = [reading for reading in main_readings(readings) if reading["verdict"]]
    if judged:
        sentences.append(verdicts_in_words(judged))
    return " ".join(sentences)


def verdicts_in_words(judged: list[dict[str, Any]]) -> str:
    """How many readings keep their limits, and which do not."""
    if all(reading["verdict"] == "within" for reading in judged):
        return f"{'The one reading' if len(judged) == 1 else f'All {len(judged)} readings'} with a limit: within."
    parts = []
    for verdict, words in (("within", "within"), ("outside", "outside"), ("undecided", "too close to call")):
        these = [reading for reading in judged if reading["verdict"] == verdict]
        names = dict.fromkeys(title(reading["quantity"], reading["channel"]).lower() for reading in these)
        which = "" if verdict == "within" else f" ({'; '.join(names)})"
        if these:
            parts.append(f"{len(these)} {words}{which}")
    return f"Of {counted(len(judged), 'reading')} with a limit: {listed(parts)}."


def speed_in_words(readings: list[dict[str, Any]]) -> str:
    """How the deck runs, in one sentence."""
    speed, rate = _main(readings, "speed_deviation"), _main(readings, "rotation_rate")
    at = f" ({measured(rate)})" if rate is not None else ""
    if speed is None:
        return f"The platter turns at {measured(rate)}." if rate else "No speed could be read."
    value, uncertainty = speed["value"], speed["uncertainty"]
    if abs(value) <= uncertainty:
        return f"The deck runs at its speed, as far as this recording can tell{at}."
    size = measured({**speed, "value": abs(value)}).removeprefix("+")
    return f"The deck runs {size} {'fast' if value > 0 else 'slow'}{at}."


def _print_headline(paper: Paper, readings: list[dict[str, Any]]) -> None:
    paper.line()
    paper.paragraph(headline(readings), style="bold", indent="")


def _main(readings: list[dict[str, Any]], quantity: str) -> dict[str, Any] | None:
    return next((reading for reading in main_readings(readings) if reading["quantity"] == quantity), None)


def _print_findings(paper: Paper, findings: list[dict[str, Any]]) -> None:
    if not findings:
        return
    paper.heading("Findings")
    for finding in findings:
        where = f" (band {finding['band']})" if finding["band"] is not None else ""
        paper.paragraph(finding["message"] + where)


def _print_curves(paper: Paper, curves: dict[str, Any] | None) -> None:
    if curves is None:
        return
    paper.heading("Curves")
    for name, curve in curves.items():
        axes = f"{curve['y_unit']} against {curve['x_unit']}"
        paper.paragraph(f"{name.replace('_', ' ')}: {counted(len(curve['x']), 'point')}, {axes}")
    paper.paragraph("The points themselves come with --json.", style=QUIET)
