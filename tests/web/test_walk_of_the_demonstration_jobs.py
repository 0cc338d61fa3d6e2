"""The three jobs of the demonstration, walked in a real browser from arrival to a downloaded sheet.

Once with the mouse, once with the keyboard alone. The recordings are real files, played by the simulated decks of the
demonstration and measured in the background by the served shop itself.
"""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hands import KeyboardHand, MouseHand
from served_bench import Bench, served
from web_tools import axe_clean

from spindlewright.demo.units import TEST_DISC, disc_toml, unit_spec
from spindlewright.demo.wave_file import write_wave_file
from spindlewright.shop.job_card import job_card
from spindlewright.shop.store import Shop
from spindlewright.web.settings import WebSettings
from system_packages import needs

pytestmark = [needs("chromium", "poppler-utils"), pytest.mark.slow]
MEASURED_MS = 120_000
HANDS = pytest.mark.parametrize("hand_of", [MouseHand, KeyboardHand], ids=["mouse", "keyboard"])


@pytest.fixture
def bench(shop: Shop) -> Iterator[Bench]:
    """Served with the measuring of recordings."""
    (shop.folder / "discs").mkdir(exist_ok=True)
    (shop.folder / "discs" / f"{TEST_DISC}.toml").write_text(disc_toml(), encoding="utf-8")
    with served(shop, WebSettings()) as there:
        yield there


@pytest.fixture(scope="session")
def take(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """The recording of a simulated deck of the demonstration, rendered once."""
    folder = tmp_path_factory.mktemp("takes")

    def rendered(deck: str) -> Path:
        file = folder / f"{deck}.wav"
        if not file.exists():
            write_wave_file(unit_spec(deck), file)
        return file

    return rendered


class Walk:
    """A job being walked with one hand."""

    def __init__(self, sheet: Any, hand: MouseHand, bench: Bench) -> None:
        self.sheet, self.hand, self.bench = sheet, hand, bench
        self.number = ""

    def arrive(self, deck: str, said: str) -> None:
        """A new job from the jobs list; condition and agreement written down."""
        self.sheet.goto("/")
        self.hand.press(self.sheet.get_by_role("link", name="New job").last)
        self.hand.fill(self.sheet.get_by_label("Deck, as on its plate"), deck)
        self.hand.fill(self.sheet.get_by_label("What the owner says"), said)
        self.hand.press(self.sheet.get_by_role("button", name="Begin the job").first)
        self.number = self.sheet.url.split("/jobs/")[1][:9]
        self.hand.fill(self.sheet.get_by_label("Condition as it came", exact=False), "Lid scratched.")
        self.keep("#arrival-condition")
        self.hand.fill(self.sheet.get_by_label("Owner", exact=True), "Town library, listening room")
        self.hand.fill(self.sheet.get_by_label("Look-over fee"), "25")
        self.hand.fill(self.sheet.get_by_label("Stop sum", exact=False), "120,50")
        self.keep("#arrival-agreement")

    def keep(self, form: str) -> None:
        self.hand.press(self.sheet.locator(form).get_by_role("button", name="Keep", exact=True))

    def describe(self, **facts: str) -> None:
        """What the deck is."""
        self.hand.unfold(self.sheet.locator("#arrival-deck"))
        for label, words in facts.items():
            self.hand.choose(self.sheet.locator(f"#deck-{label}"), words)
        self.keep("#arrival-deck form")

    def gates(self, **other: str) -> None:
        """Every question, in the order in which the page asks; yes or smooth unless told otherwise."""
        asked = 0
        while (form := self.sheet.locator("#arrival-gates .question.unanswered").first).count():
            asked += 1
            key = form.get_attribute("id") or ""
            usual = "s" if key.endswith("turned_by_hand") else "y"
            self.hand.answer(form, other.get(key.rsplit("-", 1)[-1], usual))
        assert asked == 13

    def record(self, stage: str, file: Path, lifted: bool = False, disc: str = TEST_DISC) -> None:
        """Take in a recording and wait until it is measured, over a reload."""
        place = self.sheet.locator(f"#{stage}-recordings")
        self.hand.unfold(self.sheet.locator(f"#{stage} > details"))
        self.hand.files(place.locator("input[type=file]"), [file])
        if disc:
            self.hand.choose(place.locator("select[name=disc]").first, disc.replace("-", " "))
        if lifted:
            self.hand.tick(place.locator("input[name=arm_lifted]").first)
        self.hand.press(place.get_by_role("button", name="Take in and measure"))
        place.locator("[data-state=stored], [data-state=measuring]").first.wait_for()
        self.sheet.reload()
        place.locator("[data-state=measured]").first.wait_for(timeout=MEASURED_MS)

    def functions(self, stage: str) -> None:
        """All functions tried and working."""
        self.hand.unfold(self.sheet.locator(f"#{stage} > details"))
        first = self.sheet.locator(f"#{stage}-functions .question button").first
        self.hand.go_to(first) if isinstance(self.hand, KeyboardHand) else None
        while (form := self.sheet.locator(f"#{stage}-functions .question.unanswered").first).count():
            self.hand.answer(form, "w")

    def card(self) -> Any:
        return job_card(self.bench.shop, self.number)

    def paper(self, name: str, folder: Path) -> str:
        """Follow the link to a paper and give its words; the browser fetches it as it would to show or keep it."""
        link = self.sheet.locator(f".papers a[href$='/{name}.pdf']")
        self.hand.go_to(link) if isinstance(self.hand, KeyboardHand) else None
        answer = self.sheet.request.get(self.bench.at(link.get_attribute("href")))
        assert answer.ok
        file = folder / f"{name}.pdf"
        file.write_bytes(answer.body())
        return subprocess.run(
            ["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True
        ).stdout


@pytest.fixture
def walk(sheet: Any, bench: Bench, hand_of: type[MouseHand]) -> Walk:
    sheet.set_default_timeout(30_000)
    return Walk(sheet, hand_of(sheet), bench)


@HANDS
def test_the_idler_deck_is_cured_and_given_back(walk: Walk, take: Callable[[str], Path], tmp_path: Path) -> None:
    walk.arrive("Unit 3, idler deck", "It thumps two or three times a second.")
    walk.describe(drive="idler", motor="induction", azimuth="adjustable")
    walk.gates()
    walk.record("before", take("unit_3_as_it_came"))
    axe_clean(walk.sheet)
    walk.functions("before")
    assert walk.card().next_step.stage == "go_ahead"
    sheet, hand = walk.sheet, walk.hand
    hand.unfold(sheet.locator("#go_ahead > details"))
    hand.fill(sheet.get_by_label("How", exact=True), "by telephone")
    hand.press(sheet.get_by_role("button", name="The owner says yes"))
    hand.choose(sheet.locator("#work-template"), "True or renew the idler")
    hand.press(sheet.locator("#work-tasks .new-task").get_by_role("button", name="Is done already"))
    hand.unfold(sheet.locator("#set_up > details"))
    hand.fill(sheet.locator("#set_up-typed"), "1,8 g")
    hand.press(sheet.locator("#set_up-hand").get_by_role("button", name="Keep the reading"))
    assert walk.card().next_step.stage == "after"
    assert "Repeat what Before used" in walk.card().next_step.words
    walk.record("after", take("unit_3_cured"))
    walk.functions("after")
    hand.fill(sheet.get_by_label("Length, minutes"), "240")
    hand.press(sheet.locator("#after-soak").get_by_role("button", name="Keep"))
    while (form := sheet.locator("#after-listening .question.unanswered").first).count():
        if isinstance(hand, KeyboardHand):
            hand.go_to(form.locator("button").first)
        hand.answer(form, "g")
    axe_clean(sheet)
    better = {one.quantity for one in walk.card().comparisons if one.outcome == "better"}
    assert {"speed_deviation", "wow_flutter_weighted"} <= better
    hand.unfold(sheet.locator("#handover > details"))
    hand.fill(sheet.get_by_label("It came to", exact=False), "118,50")
    hand.press(sheet.get_by_role("button", name="Hand over and close the job"))
    assert walk.card().handover is not None
    words = walk.paper("sheet", tmp_path)
    assert walk.number in words
    assert "better" in words
    assert "118.50 EUR" in words
    assert walk.number in walk.paper("owner-page", tmp_path)


@HANDS
def test_the_belt_deck_waits_for_the_owner(walk: Walk, take: Callable[[str], Path], tmp_path: Path) -> None:
    walk.arrive("Unit 1, belt deck", "Everything plays too low, and the sound is hollow.")
    walk.describe(drive="belt", motor="synchronous", speed_trim="none")
    walk.gates()
    walk.record("before", take("unit_1_as_it_came"))
    said = walk.sheet.locator("#before-headline").text_content()
    assert "5/6" in said
    walk.functions("before")
    card = walk.card()
    assert card.next_step.stage == "go_ahead"
    assert card.stage("work").state == "closed"
    assert any(item["code"] == "inverted" for item in card.captures[0].fitness)
    assert walk.number in walk.paper("job-card", tmp_path)
    assert "27.7" in walk.paper("sheet", tmp_path)


@HANDS
def test_the_automatic_is_not_fit_to_play(walk: Walk, take: Callable[[str], Path], tmp_path: Path) -> None:
    walk.arrive("Unit 2, automatic", "It hums on the left.")
    walk.gates(tip="n", force="x")
    card = walk.card()
    assert [gate.state for gate in card.gates] == ["open", "open", "closed"]
    assert "Not fit to play" in walk.sheet.locator("#gate-play").text_content()
    walk.record("before", take("unit_2_arm_on_its_rest"), lifted=True, disc="")
    hums = {
        view.reading.channel: view.reading.value for view in walk.card().readings if view.reading.quantity == "hum"
    }
    assert hums["left"] > hums["right"] + 6.0
    assert walk.number in walk.paper("sheet", tmp_path)


def test_a_recording_of_a_disc_is_refused_while_the_deck_is_not_fit_to_play(
    sheet: Any, bench: Bench, take: Callable[[str], Path]
) -> None:
    walk = Walk(sheet, MouseHand(sheet), bench)
    walk.arrive("Unit 2, automatic", "It hums on the left.")
    walk.gates(tip="n")
    walk.hand.unfold(sheet.locator("#before > details"))
    place = sheet.locator("#before-recordings")
    walk.hand.files(place.locator("input[type=file]"), [take("unit_2_arm_on_its_rest")])
    place.get_by_role("button", name="Take in and measure").click()
    place.locator(".upload .wrong").wait_for()
    assert "not fit to play" in place.locator(".upload .wrong").text_content()
    assert job_card(bench.shop, walk.number).captures == ()
