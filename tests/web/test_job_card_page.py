"""The job card without a browser: what each form keeps, and what it says when something can't be kept."""

from __future__ import annotations

import io
import math
import re
import wave
from decimal import Decimal
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from web_tools import token_in

from spindlewright.shop.arrival import NewJob, new_job
from spindlewright.shop.gates import answer_gate, gates_of
from spindlewright.shop.go_ahead import GoAhead, give_go_ahead
from spindlewright.shop.job_card import job_card
from spindlewright.shop.store import Shop
from spindlewright.shop.task_list import TASKS
from spindlewright.standards.cautions import TAGS

PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010806000000"
    "1f15c4890000000d49444154789c63f8cfc0f01f00050001ff89993d1d0000000049454e44ae426082"
)
"""One pixel, from the PNG specification's chunk layout."""


class Form:
    """Posts to the card with its token, as the page would."""

    def __init__(self, client: TestClient, shop: Shop, number: str) -> None:
        self.client, self.shop, self.number = client, shop, number
        self.token = token_in(client.get(f"/jobs/{number}").text)

    def send(self, where: str, **fields: object) -> int:
        """Status of the answer; ``said`` is its sentence."""
        answer = self.client.post(
            f"/jobs/{self.number}/{where}", data={"token": self.token, **fields}, follow_redirects=False
        )
        found = re.search(r'role="alert"><p>(.*?)</p>', answer.text, re.DOTALL)
        self.said = found.group(1) if found else ""
        self.goes_to = answer.headers.get("location", "")
        return answer.status_code

    @property
    def card(self):  # type: ignore[no-untyped-def]
        return job_card(self.shop, self.number)

    def page(self) -> str:
        answer = self.client.get(f"/jobs/{self.number}")
        assert answer.status_code == 200
        return answer.text


@pytest.fixture
def form(client: TestClient, shop: Shop) -> Form:
    return Form(client, shop, new_job(shop, NewJob(deck="belt deck", owner_name="Town library")))


@pytest.fixture
def opened(form: Form) -> Form:
    """All gates open, and the owner's yes."""
    for gate in gates_of(form.shop, form.number):
        for question in gate.questions:
            answer_gate(form.shop, form.number, gate.key, question.key, question.answers[0])
    give_go_ahead(form.shop, form.number, GoAhead("owner_yes", who="the desk", how="by telephone"))
    return form


def tone(seconds: float = 3.0) -> bytes:
    """A WAV file of 16 bit, made by the standard library alone."""
    file = io.BytesIO()
    with wave.open(file, "wb") as out:
        out.setnchannels(2)
        out.setsampwidth(2)
        out.setframerate(8000)
        for n in range(int(8000 * seconds)):
            out.writeframesraw(
                int(8000 * math.sin(2 * math.pi * 1000 * n / 8000)).to_bytes(2, "little", signed=True) * 2
            )
    return file.getvalue()


def test_arrival_is_written_down_with_a_decimal_comma(form: Form) -> None:
    version = form.card.job.version
    assert form.send("arrival/condition", version=version, condition="Lid cracked", missing="mat") == 303
    assert form.goes_to.endswith("#arrival-agreement")
    version = form.card.job.version
    assert (
        form.send(
            "arrival/agreement", version=version, owner_name="Reading room", look_over_fee="25", stop_sum="99,50"
        )
        == 303
    )
    card = form.card
    assert (card.job.condition, card.job.missing, card.owner.name) == ("Lid cracked", "mat", "Reading room")
    assert card.job.stop_sum == Decimal("99.50")


def test_a_change_made_from_an_old_page_is_told_and_what_was_typed_is_shown(form: Form) -> None:
    version = form.card.job.version
    assert form.send("arrival/condition", version=version, condition="first") == 303
    answer = form.client.post(
        f"/jobs/{form.number}/arrival/condition",
        data={"token": form.token, "version": version, "condition": "second bench"},
    )
    assert answer.status_code == 409
    assert "second bench" in answer.text
    assert f'href="/jobs/{form.number}"' in answer.text
    assert form.card.job.condition == "first"


def test_the_deck_is_described_and_odd_figures_are_refused_by_name(form: Form) -> None:
    deck = {
        "deck": "idler deck",
        "drive": "idler",
        "speeds": ["33", "78"],
        "plate_voltage_v": "230",
        "rim_mm": "270,5",
    }
    assert form.send("arrival/deck", version=form.card.job.version, azimuth="fixed", **deck) == 303
    card = form.card
    assert card.deck.drive == "idler"
    assert card.deck.dimensions["rim_mm"] == 270.5
    assert card.deck.abilities["azimuth"] == "fixed"
    assert [round(rpm, 2) for rpm in card.deck.speeds_rpm] == [33.33, 78.26]
    assert form.send("arrival/deck", version=card.job.version, deck="idler deck", plate_voltage_v="a lot") == 422
    assert "voltage on the plate" in form.said
    assert "a lot" in form.said


def test_answers_lead_from_question_to_question(form: Form) -> None:
    assert form.send("gates/plug_in/lead", answer="yes") == 303
    assert form.goes_to.endswith("#gate-plug_in-plug")
    assert form.send("gates/run/turned_by_hand", answer="sideways") == 422
    assert "smooth" in form.said
    assert 'id="gate-plug_in-lead"' in form.page()


def test_a_no_says_what_it_closes_and_what_opens_it(form: Form) -> None:
    for gate in gates_of(form.shop, form.number):
        for question in gate.questions:
            answer = "no" if question.key == "tip" else question.answers[0]
            assert form.send(f"gates/{gate.key}/{question.key}", answer=answer) == 303
    page = form.page()
    assert "Not fit to play, because the tip" in page
    assert "shop&#39;s own headshell" in page
    assert form.send("shop-headshell", name="bench shell 2") == 303
    assert form.card.gates[2].state == "open"


def test_work_stays_closed_without_the_yes(form: Form) -> None:
    assert form.send("work/tasks", words="anything", do="done") == 409
    assert "owner has not said yes" in form.said
    assert form.send("go_ahead", kind="own_deck") == 422
    assert form.send("go_ahead", kind="owner_yes", who="the desk", how="by telephone", sum="80") == 303
    assert form.send("work/tasks", template="main_bearing", do="plan") == 303
    task = form.card.tasks[0]
    assert form.goes_to.endswith(f"#task-{task.id}")
    assert form.send(f"work/tasks/{task.id}", do="done", result="runs smooth") == 303
    assert form.card.tasks[0].done_at is not None


def test_hand_readings_are_kept_refused_and_withdrawn(opened: Form) -> None:
    assert opened.send("before/by-hand", quantity="tracking_force", typed="1,8 g") == 303
    assert opened.send("before/by-hand", quantity="tracking_force", typed="18000 g") == 422
    assert "Tracking force" in opened.said
    (view,) = opened.card.readings
    assert view.reading.value == pytest.approx(17.652, abs=0.001)  # 1.8 g x 9.80665 m/s2, CGPM 1901
    assert "1.8 g" in opened.page()
    assert opened.send(f"before/by-hand/{view.id}/withdraw", reason="") == 422
    assert opened.send(f"before/by-hand/{view.id}/withdraw", reason="scale not level") == 303
    assert opened.card.readings_of("before") == ()


def test_several_recordings_are_taken_in_and_a_damaged_one_does_not_lose_the_others(opened: Form) -> None:
    files = [("files", ("one.wav", tone())), ("files", ("empty.wav", b"")), ("files", ("two.wav", tone(4.0)))]
    answer = opened.client.post(
        f"/jobs/{opened.number}/before/recordings", data={"token": opened.token}, files=files, follow_redirects=False
    )
    assert answer.status_code == 422
    assert "empty.wav" in answer.text
    assert [view.file_name for view in opened.card.captures] == ["one.wav", "two.wav"]
    stored = opened.card.captures[0]
    assert opened.shop.files.path_of(stored.sha256).read_bytes() == tone()


def test_a_recording_streams_in_through_the_api_and_its_state_can_be_asked(opened: Form) -> None:
    body = tone()
    answer = opened.client.post(
        f"/api/jobs/{opened.number}/recordings",
        params={"stage": "before", "file_name": "one.wav", "rpm": "45"},
        content=body,
        headers={"Content-Type": "application/octet-stream"},
    )
    assert answer.status_code == 201
    assert answer.json()["state"] == "stored"
    assert opened.client.get(f"/api/jobs/{opened.number}/recordings").json()[0]["file_name"] == "one.wav"
    assert opened.card.captures[0].options.rpm == 45.0
    refused = opened.client.post(
        f"/api/jobs/{opened.number}/recordings",
        params={"stage": "nowhere", "file_name": "one.wav"},
        content=body,
        headers={"Content-Type": "application/octet-stream"},
    )
    assert refused.status_code == 422
    assert "stage" in refused.json()["message"]


def test_no_recording_can_be_possible(opened: Form) -> None:
    assert opened.send("before/no-recording", reason="no cartridge") == 303
    assert "Could not be read on arrival: no cartridge" in opened.page()


def test_functions_soak_and_listening_lead_on(opened: Form) -> None:
    opened.send("work/tasks", words="cleaned", do="done")
    assert opened.send("before/functions/start", answer="does not", note="slow") == 303
    assert opened.goes_to.endswith("#before-function-stop")
    assert opened.send("after/soak", length_min="") == 422
    assert opened.send("after/soak", length_min="90,5", result="ran through") == 303
    assert opened.send("after/listening/mono_voice", answer="good") == 303
    assert opened.goes_to.endswith("#listening-first_record_first_track")
    card = opened.card
    assert card.soak_runs[0].length_min == 90.5
    assert "before: does not" in opened.page()


def test_photos_are_kept_and_shown_and_other_files_refused(opened: Form) -> None:
    where = f"/jobs/{opened.number}/arrival/photos"
    data = {"token": opened.token, "words": "the lid"}
    sent = opened.client.post(where, data=data, files=[("files", ("lid.png", PNG))], follow_redirects=False)
    assert sent.status_code == 303
    refused = opened.client.post(where, data=data, files=[("files", ("note.txt", b"words"))], follow_redirects=False)
    assert refused.status_code == 422
    assert "note.txt" in refused.text
    (photo,) = opened.card.photos
    shown = opened.client.get(f"/jobs/{opened.number}/photos/{photo.id}")
    assert (shown.content, shown.headers["content-type"]) == (PNG, "image/png")


def test_a_watched_folder_is_joined_and_left(opened: Form, tmp_path: Path) -> None:
    assert opened.send("before/watched-folder", folder=str(tmp_path / "nowhere")) == 422
    assert "watched folder" in opened.said
    (tmp_path / "takes").mkdir()
    assert opened.send("before/watched-folder", folder=str(tmp_path / "takes")) == 303
    assert f"is watched for job {opened.number}" in opened.page()
    assert opened.send("before/watched-folder/leave") == 303
    assert "is watched for job" not in opened.page()


def test_left_undone_handed_over_and_opened_again(opened: Form) -> None:
    opened.send("work/tasks", words="cleaned", do="done")
    assert opened.send("left-undone", what="feet", why="owner keeps them") == 303
    assert opened.send("handover", to_whom="the desk", price="80,00") == 303
    page = opened.page()
    assert "Given back to the desk" in page
    assert "Hand over and close" not in page
    assert opened.send("work/tasks", words="more", do="done") == 409
    assert opened.send("handover/open-again", why="") == 422
    assert opened.send("handover/open-again", why="came back") == 303
    assert opened.card.handover is None


def test_papers_are_pdf_of_both_sizes(opened: Form) -> None:
    for name in ("sheet", "owner-page", "job-card"):
        for paper in ("a4", "letter"):
            answer = opened.client.get(f"/jobs/{opened.number}/{name}.pdf", params={"paper": paper})
            assert answer.status_code == 200
            assert answer.content.startswith(b"%PDF-")
    assert opened.client.get(f"/jobs/{opened.number}/sheet.pdf", params={"paper": "a5"}).status_code == 422


@pytest.mark.parametrize("task", TASKS, ids=lambda task: task.key)
def test_every_task_of_the_list_shows_the_cautions_of_its_dangers(task) -> None:  # type: ignore[no-untyped-def]
    assert set(task.tags) <= set(TAGS)
    shown = {tag for one in task.cautions for tag in one.tags}
    assert set(task.tags) <= shown


def test_a_planned_task_shows_its_cautions_on_the_card(opened: Form) -> None:
    opened.send("work/tasks", template="belt_path", do="plan")
    page = opened.page()
    template = next(task for task in TASKS if task.key == "belt_path")
    work = page[page.index('id="work-tasks"') : page.index('class="new-task"')]
    for one in template.cautions:
        assert one.text.replace("'", "&#39;") in work
