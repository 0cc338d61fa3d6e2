"""The discs a recording can name: those that come with Spindlewright, and those this shop has learned."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Literal

from spindlewright.bands.layout import Layout, LayoutError, layout_from_toml
from spindlewright.shop.errors import NotAccepted
from spindlewright.shop.store import Shop


@dataclass(frozen=True, slots=True)
class DiscView:
    """One disc: its name, where it comes from, the text of its layout."""

    name: str
    origin: Literal["shipped", "shop"]
    toml: str

    def layout(self) -> Layout:
        """Its layout. LayoutError when the text can't be used."""
        return layout_from_toml(self.toml, self.name)


def discs(shop: Shop) -> tuple[DiscView, ...]:
    """All discs by name, the shipped ones first; files that cannot be read are left out."""
    shipped = Path(str(resources.files("spindlewright.bands") / "layouts"))
    return (*_in_folder(shipped, "shipped"), *_in_folder(shop.folder / "discs", "shop"))


def disc_named(shop: Shop, name: str) -> DiscView:
    """The disc called ``name``. NotAccepted when there is none, or its layout can't be used."""
    known = discs(shop)
    for disc in known:
        if disc.name.casefold() == name.strip().casefold():
            try:
                disc.layout()
            except LayoutError as problem:
                raise NotAccepted("disc", str(problem), "a layout that can be used", "learn the disc again") from None
            return disc
    names = ", ".join(disc.name for disc in known) or "none"
    raise NotAccepted("disc", repr(name), names, "choose one of these, or none")


def _in_folder(folder: Path, origin: Literal["shipped", "shop"]) -> list[DiscView]:
    found = []
    for file in sorted(folder.glob("*.toml")) if folder.is_dir() else []:
        if file.name.startswith("."):
            continue
        try:
            found.append(DiscView(file.stem, origin, file.read_text(encoding="utf-8")))
        except (OSError, UnicodeDecodeError):
            continue
    return found
