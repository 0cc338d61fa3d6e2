"""``spindlewright sheet``: the papers of a job as PDF."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from spindlewright.cli.options import DataFolder, Json
from spindlewright.cli.shop_access import JobNumber, json_line, opened_shop
from spindlewright.cli.trouble import WrongUseError


def sheet(
    number: JobNumber,
    out: Annotated[Path, Parameter(help="PDF file to write.")],
    /,
    *,
    owner_page: Annotated[bool, Parameter(help="The plain-words page for the owner instead of the sheet.")] = False,
    job_card: Annotated[bool, Parameter(help="The job card with boxes to fill in by hand instead.")] = False,
    paper: Annotated[
        Literal["a4", "letter"] | None, Parameter(help="Paper: a4 or letter (default: as in the settings).")
    ] = None,
    json: Json = False,
    data: DataFolder = None,
) -> int:
    """The service sheet of a job as PDF: found, done, before and after, with uncertainty, limits and sources."""
    if owner_page and job_card:
        raise WrongUseError("--owner-page and --job-card are two papers; ask for one at a time.")
    if out.suffix.casefold() != ".pdf":
        raise WrongUseError(f"{out}: the sheet is written as PDF; give it a name that ends with .pdf.")
    if not out.parent.is_dir():
        raise WrongUseError(f"The folder {out.parent} does not exist; make it first.")
    pdf = _pdf(
        number, "owner_page" if owner_page else "printed_job_card" if job_card else "service_sheet", paper, data
    )
    unfinished = out.with_name(f".{out.name}.{os.getpid()}.part")
    try:
        unfinished.write_bytes(pdf)
        os.replace(unfinished, out)
    finally:
        unfinished.unlink(missing_ok=True)
    if json:
        sys.stdout.write(json_line({"number": number, "file": str(out), "size_bytes": len(pdf)}))
        return 0
    print(f"Wrote {out}.")
    return 0


def _pdf(number: str, which: str, paper: str | None, data: Path | None) -> bytes:
    from spindlewright.sheets.owner_page import owner_page
    from spindlewright.sheets.printed_job_card import printed_job_card
    from spindlewright.sheets.service_sheet import service_sheet
    from spindlewright.shop.job_card import job_card
    from spindlewright.shop.settings import settings_of

    make = {"service_sheet": service_sheet, "owner_page": owner_page, "printed_job_card": printed_job_card}[which]
    with opened_shop(data) as shop:
        return make(job_card(shop, number, curves=True), settings_of(shop), paper or "")
