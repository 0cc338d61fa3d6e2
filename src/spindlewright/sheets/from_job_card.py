"""From the job card to the content of the service sheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import datetime

from spindlewright.setup.deck_abilities import DeckAbilities
from spindlewright.setup.headline import figure_in_words
from spindlewright.setup.next_moves.evidence import Evidence
from spindlewright.sheets.compared_rows import DECISION_RULE, reading_groups
from spindlewright.sheets.hand_rows import hand_rows
from spindlewright.sheets.recorded_how import how_read, taken_recordings
from spindlewright.sheets.sheet_charts import chart_parts
from spindlewright.sheets.sheet_content import FunctionRow, Labelled, SheetContent, Told
from spindlewright.shop.advice import fitness_of
from spindlewright.shop.as_views import money_words
from spindlewright.shop.function_list import speed_name
from spindlewright.shop.settings import ShopSettings
from spindlewright.shop.views.card import JobCard
from spindlewright.standards.cautions import UnknownStepError, caution, cautions_for
from spindlewright.wording import title

STATEMENTS = (
    "This sheet relates only to the item measured, in the state in which it was measured.",
    "It shall be copied only as a whole.",
    "± is the half-width of the interval that holds the value with 95 % probability (JCGM 101).",
    '"No change shown" means that the change, if any, is smaller than what these readings can tell.',
    "The bench is not accredited. The sheet follows the points of ISO/IEC 17025 clause 7.8.2 that apply, from memory.",
)
NOT_KNOWN = ("", "unknown")


def sheet_content(card: JobCard, settings: ShopSettings) -> SheetContent:
    """Everything the service sheet says. ``card`` made with ``curves=True`` brings its charts along."""
    groups, limits = reading_groups(card)
    methods, method_sources = how_read(card)
    has_after = any(row.after.value for group in groups for row in group.rows)
    return SheetContent(
        job_number=card.job.number,
        shop_name=settings.shop_name,
        shop_address=settings.shop_address,
        deck_title=card.deck.description,
        owner="the shop" if card.owner.is_shop else card.owner.name,
        issued=day(card.handover.at) if card.handover else "",
        dates=_dates(card),
        deck=deck_facts(card),
        arrival=_arrival(card),
        summary=_summary(card),
        tally=_tally(card),
        found=_found(card),
        done=tuple(
            Told(task.words, "; ".join(part for part in (task.result, task.parts and f"parts: {task.parts}") if part))
            for task in card.tasks
            if task.done_at is not None
        ),
        go_ahead=card.go_ahead.words if card.go_ahead else "",
        readings=groups,
        no_recordings=tuple(_sentence(f"{_stage(view.stage)}: {view.words}") for view in card.no_recordings),
        only_before=bool(groups) and not has_after,
        by_hand=hand_rows(card),
        limits=limits,
        decision_rule=DECISION_RULE if limits else "",
        charts=chart_parts(card),
        functions=_functions(card),
        trials=tuple(
            Labelled("Soak run", _sentence(f"{run.words.rstrip('.')}{': ' + run.note if run.note else ''}"))
            for run in card.soak_runs
        ),
        listening=tuple(
            Labelled(item.words, item.answer + (f": {item.note}" if item.note else ""))
            for item in card.listening
            if item.answer
        ),
        not_compared=tuple(Told(title(one.quantity, one.channel), one.why) for one in card.not_compared),
        recordings=taken_recordings(card),
        methods=methods,
        method_sources=method_sources,
        cautions=_cautions(card),
        left=tuple(Told(one.what, one.why) for one in card.left_undone),
        handover=_handover(card),
        stands_for_it=(card.handover.stands_for_it if card.handover else "") or settings.stands_for_it,
        statements=STATEMENTS,
    )


def day(moment: datetime) -> str:
    """The day of a moment as kept (UTC), ``2026-11-13``."""
    return moment.date().isoformat()


def _sentence(words: str) -> str:
    words = words.strip()
    return words[:1].upper() + words[1:] + ("" if words.endswith((".", "!", "?")) else ".")


def _stage(stage: str) -> str:
    return {"before": "before", "after": "after"}.get(stage, stage.replace("_", "-"))


def _labelled(pairs: Iterable[tuple[str, str]]) -> tuple[Labelled, ...]:
    return tuple(Labelled(label, words) for label, words in pairs if words.strip() and words not in NOT_KNOWN)


def _dates(card: JobCard) -> tuple[Labelled, ...]:
    measured = sorted({day(view.taken_at) for view in card.readings if not view.withdrawn})
    return _labelled(
        (
            ("Received", day(card.job.arrived_at)),
            ("Measured", measured[0] if len(measured) < 2 else f"{measured[0]} to {measured[-1]}") if measured else
            ("Measured", ""),
            ("Handed over", day(card.handover.at) if card.handover else ""),
        )
    )  # fmt: skip


def deck_facts(card: JobCard) -> tuple[Labelled, ...]:
    """The deck as its plate and its makers' choices tell it; what is not known is left out."""
    deck = card.deck
    plate = [f"{deck.plate_voltage_v:g} V"] if deck.plate_voltage_v else []
    plate += [f"{deck.plate_frequency_hz:g} Hz"] if deck.plate_frequency_hz else []
    drive = [deck.drive] if deck.drive not in NOT_KNOWN else []
    drive += [f"{deck.motor} motor"] if deck.motor not in NOT_KNOWN else []
    arm = [deck.arm] if deck.arm not in NOT_KNOWN else []
    arm += ["automatic"] if deck.automatic else []
    return _labelled(
        (
            ("Serial", deck.serial or "none found"),
            ("Drive", ", ".join(drive)),
            ("Arm", ", ".join(arm)),
            ("Speeds", ", ".join(speed_name(rpm) for rpm in deck.speeds_rpm) + (" rpm" if deck.speeds_rpm else "")),
            ("Mains plate", ", ".join(plate)),
            ("Shop's headshell", card.job.shop_headshell),
        )
    )


def _arrival(card: JobCard) -> tuple[Labelled, ...]:
    job = card.job
    closed = [gate for gate in card.gates if gate.state == "closed"]
    gates = "; ".join(f"not {gate.title.rstrip('?').lower()}: {gate.why}" for gate in closed)
    cold = any(gate.cold_short for gate in card.gates)
    return _labelled(
        (
            ("The owner said", f"“{job.complaint}”" if job.complaint else ""),
            ("Condition", job.condition),
            ("Brought with it", job.brought_with),
            ("Missing", job.missing),
            ("Gates", _sentence(gates) if gates else ""),
            ("Turned by hand", "Dry or rough: one short cold take only." if cold else ""),
        )
    )


def _summary(card: JobCard) -> tuple[str, ...]:
    """The one sentence of each stage, as the pure room words it."""
    told = []
    for stage in ("before", "after"):
        sentence = getattr(card.headlines.get(stage), "sentence", card.headlines.get(stage, ""))
        if sentence:
            told.append(f"{_stage(stage).capitalize()}: {sentence}")
    return tuple(told)


def _tally(card: JobCard) -> tuple[Labelled, ...]:
    counted = Counter(one.outcome for one in card.comparisons)
    return tuple(Labelled(outcome, str(number)) for outcome, number in sorted(counted.items(), key=_outcome_order))


def _outcome_order(item: tuple[str, int]) -> int:
    known = ("better", "worse", "changed", "no change shown")
    return known.index(item[0]) if item[0] in known else len(known)


def _found(card: JobCard) -> tuple[Told, ...]:
    """Findings of Before, then what the readings point to, with the advice that goes with it, then functions."""
    evidence = Evidence(
        tuple(view.reading for view in card.readings_of("before")),
        tuple(view.finding for view in card.findings_of("before")),
        fitness_of(card.captures, "before"),
        DeckAbilities(),
    )
    messages = list(dict.fromkeys(finding.message for finding in evidence.findings))
    told = []
    for move in card.moves.get("before", ()):
        same = next((one for one in messages if one.lower().startswith(move.because.lower())), "")
        if same:
            messages.remove(same)
        figure = figure_in_words(evidence, move)
        cause = _sentence(f"{figure}: {move.because}" if figure else move.because)
        told.append(Told(same or cause, f"Advised: {move.sentence}"))
    told = [*map(Told, messages), *told]
    for function in card.functions:
        if function.before == "does not":
            told.append(Told(f"{function.words}: does not work.", function.note_before))
    return tuple(told)


def _functions(card: JobCard) -> tuple[FunctionRow, ...]:
    rows = []
    for one in card.functions:
        if one.before is None and one.after is None:
            continue
        notes = dict.fromkeys(note for note in (one.note_before, one.note_after) if note)
        rows.append(FunctionRow(one.words, one.before or "–", one.after or "–", "; ".join(notes)))
    return tuple(rows)


def _cautions(card: JobCard) -> tuple[str, ...]:
    """Those of the work that was done, of the moves still open After, and of handing over."""
    found: dict[str, None] = {}
    for task in card.tasks:
        try:
            found.update(dict.fromkeys(one.text for one in cautions_for(task.step))) if task.step else None
        except UnknownStepError:
            continue
    for stage in ("after",) if card.readings_of("after") else ("before",):
        for move in card.moves.get(stage, ()):
            found.update(dict.fromkeys(caution(one).text for one in move.cautions))
    found.update(dict.fromkeys(one.text for one in cautions_for("handover.electrical_test")))
    return tuple(found)


def _handover(card: JobCard) -> tuple[Labelled, ...]:
    if card.handover is None:
        return ()
    given = card.handover
    price = money_words(given.price, given.currency) if given.price is not None else ""
    return _labelled((("Given to", given.to_whom), ("Price", price), ("Note", given.note)))
