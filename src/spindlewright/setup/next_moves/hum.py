"""Hum: which part of the wiring, the supply or the motor its shape points to. Never a lifted protective earth.

One channel alone: an open return, a tag, a pin. Both alike: earth or field when the mains line itself is strongest,
a rectifier when its double is. Through the stylus only: vibration, not hum. Source: trade practice 4.4 and 4.6,
published values 19 (common practice, no source). Rankings are suspicions with the check that tells.
"""

from __future__ import annotations

from spindlewright.setup.next_moves.evidence import Evidence
from spindlewright.setup.next_moves.hum_lines import RISES_WITH_STYLUS_DB, HumSeen, hum_by_kind
from spindlewright.setup.next_moves.move import Kind, Move, caution_ids

KEY = "hum"
STEPS = ("move.hum", "move.motor_mounts")
EARTH_LEAD_OHM = 2.0
"""From arm to the end of the earth lead at most (trade practice 1.8, one dealer's page)."""
EVEN, ODD = (2, 4, 6, 8, 10, 12), (1, 3, 5, 7, 9, 11)
_RETURN = {"left": "white and blue", "right": "red and green"}


def moves(evidence: Evidence) -> tuple[Move, ...]:
    """Suspicions for the hum that matters, the surest first."""
    seen = hum_by_kind(evidence)
    arm_up, stylus_down = seen.get("lifted"), seen.get("silence")
    made: list[Move] = []
    through_stylus = _through_stylus(arm_up, stylus_down)
    if through_stylus is not None:
        made.append(through_stylus)
    heard = next((one for one in (arm_up, stylus_down) if one is not None and one.matters), None)
    if heard is None:
        drowned = evidence.item("hum_drowned")
        return (*made, _drowned(evidence)) if drowned is not None and drowned.severity == "stop" else tuple(made)
    if heard is stylus_down and through_stylus is not None:
        return tuple(made)
    if heard.one_side is not None:
        made.append(_one_side(evidence, heard.one_side))
    elif heard is stylus_down and arm_up is None:
        made.append(_arm_up_first(heard))
    else:
        made.append(_both(evidence, heard))
    return tuple(made)


def _one_side(evidence: Evidence, side: str) -> Move:
    plug_in = evidence.deck.arm == "plug-in"
    words = (
        f"clean and check the {side} channel's pins in the plug-in socket, then its lead and plug"
        if plug_in
        else f"check the {side} channel's return first: its tags ({_RETURN[side]}), its headshell pins, then its lead"
    )
    more = (
        ()
        if plug_in
        else (
            "Exchange the two channels at the tags: hum that changes sides comes from the cartridge, hum that stays "
            "from the arm or the lead.",
        )
    )
    because = "one channel hums alone, as it does with an open return, a tag off or a dirty headshell pin"
    return _move(f"{side} channel: return", "check", because, words, more, channel=side)


def _both(evidence: Evidence, heard: HumSeen) -> Move:
    mains = 60.0 if (heard.mains_hz or 50.0) > 55.0 else 50.0
    if heard.share(EVEN) > 0.5:
        because = f"{2 * mains:g} Hz and its multiples lead in both channels, as ripple of a rectifier does"
        words = "try another preamp or supply: hum that goes with it is not the deck's"
        more: tuple[str, ...] = ("If it stays, look at the deck's own supply, with the plug out.",)
        return _move("preamp or servo supply", "check", because, words, more)
    lead = evidence.main("arm_to_lead_resistance")
    if lead is not None and lead.value - lead.uncertainty > EARTH_LEAD_OHM:
        because = f"the earth path from arm to lead has {lead.value:.3g} Ω where {EARTH_LEAD_OHM:g} Ω is the most"
        return _move("earth lead", "renew", because, "mend the earth path from the arm to the lead's end", ())
    because = f"{mains:g} Hz and odd multiples lead on both sides: an earth missing, a second earth path, or a field"
    words = "measure the earth path from arm to lead, then touch the arm, move it, unplug other gear, one at a time"
    more = (
        "Less when the arm is touched: arm or screen has no earth. Changes with the arm's place: field of motor or "
        "transformer. Gone when other gear is unplugged: a loop through two signal earths.",
        "Touch nothing on an old deck whose chassis may be joined to the mains.",
        "A strap at the cartridge body with a metal headshell makes a second earth path.",
    )
    return _move("earth lead and screen", "measure", because, words, more)


def _through_stylus(arm_up: HumSeen | None, stylus_down: HumSeen | None) -> Move | None:
    """Motor vibration: the double of the mains is there with the stylus down and not with the arm up."""
    if arm_up is None or stylus_down is None or not stylus_down.matters:
        return None
    down, up = stylus_down.line_db(2), arm_up.line_db(2)
    if down is None or (up is not None and down - up < RISES_WITH_STYLUS_DB):
        return None
    if stylus_down.share(EVEN) < 0.5:
        return None
    hz = 2.0 * (60.0 if (stylus_down.mains_hz or 50.0) > 55.0 else 50.0)
    return Move(
        what="motor mounts",
        direction="renew or free",
        amount=None,
        unit=None,
        because=f"{hz:g} Hz is there with the stylus down and not with the arm up: vibration of the motor, not hum",
        cautions=caution_ids(STEPS[1]),
        kind="suspect",
        key=KEY,
        words="look whether the motor mounts are hard, the motor touches the plinth or transit screws are in",
        quantity="hum",
        more=(
            "Record with the stylus on a still disc, motor on, then off: what goes with the motor is its vibration.",
        ),
    )


def _arm_up_first(heard: HumSeen) -> Move:
    because = "with the stylus down, wiring and vibration can't be told apart"
    words = "record 30 s more with the arm up, once with the motor on and once off"
    return _move("recording", "arm up", because, words, (), kind="repeat", channel=heard.loud.channel)


def _drowned(evidence: Evidence) -> Move:
    because = "the tone is drowned in hum"
    words = "check the earth lead, the headshell's pins and the cable, then record 30 s with the arm up"
    return _move("earth lead and cable", "check", because, words, (), quantity=None)


def _move(
    what: str,
    direction: str,
    because: str,
    words: str,
    more: tuple[str, ...],
    kind: Kind = "suspect",
    channel: str | None = None,
    quantity: str | None = "hum",
) -> Move:
    return Move(
        what=what,
        direction=direction,
        amount=None,
        unit=None,
        because=because,
        cautions=caution_ids(STEPS[0]),
        kind=kind,
        key=KEY,
        words=words,
        quantity=quantity,
        channel=channel,  # type: ignore[arg-type]
        more=more,
    )
