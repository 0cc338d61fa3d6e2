"""Photos of a stage, kept as they came."""

from __future__ import annotations

from typing import BinaryIO

from spindlewright.shop import accepted
from spindlewright.shop.as_views import photo_view
from spindlewright.shop.errors import NotAccepted, NotFound
from spindlewright.shop.recordings import printable_name
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import find_job, find_row, open_job, summarise
from spindlewright.shop.tables.work import Photo
from spindlewright.shop.views.stages import STAGES
from spindlewright.shop.views.work import PhotoView

LARGEST_PHOTO_BYTES = 50 * 10**6


def add_photo(shop: Shop, number: str, stage: str, file_name: str, stream: BinaryIO, words: str = "") -> PhotoView:
    """Keep one photo (JPEG, PNG or WebP, told by its bytes). NotAccepted for anything else."""
    accepted.choice("stage", stage, tuple(key for key, _ in STAGES))
    with shop.reading() as session:
        open_job(session, number)
    stored = shop.files.put(stream, LARGEST_PHOTO_BYTES)
    with stored.path.open("rb") as file:
        media_type = media_type_of(file.read(16))
    if media_type is None:
        raise NotAccepted("photo", f"{printable_name(file_name)}, no picture", "JPEG, PNG or WebP", "choose a picture")
    with shop.writing() as session:
        job = open_job(session, number)
        row = Photo(
            job_id=job.id,
            stage=stage,
            file_name=printable_name(file_name),
            sha256=stored.sha256,
            size_bytes=stored.size_bytes,
            media_type=media_type,
            words=accepted.text("words", words),
            received_at=shop.now(),
        )
        session.add(row)
        summarise(shop, session, job)
        return photo_view(row)


def photo_of(shop: Shop, number: str, photo_id: int) -> PhotoView:
    """One photo of a job."""
    with shop.reading() as session:
        job = find_job(session, number)
        row = find_row(session, Photo, photo_id, "photo")
        if row.job_id != job.id:
            raise NotFound(f"Job {job.number} has no photo {photo_id}.")
        return photo_view(row)


def media_type_of(first_bytes: bytes) -> str | None:
    """What a picture is by its first 16 bytes; None: no picture that is taken.

    >>> media_type_of(bytes([0xFF, 0xD8, 0xFF, 0xE0]))
    'image/jpeg'
    """
    if first_bytes.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if first_bytes.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if first_bytes[:4] == b"RIFF" and first_bytes[8:12] == b"WEBP":
        return "image/webp"
    return None
