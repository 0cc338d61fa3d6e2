"""The discs that can be named: those that come with Spindlewright, and those this shop has learned."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Literal

from spindlewright.bands.layout import Layout, layout_from_toml
from spindlewright.bands.learning import checked_disc_name
from spindlewright.cli.text_files import read_text, write_whole
from spindlewright.cli.trouble import WrongUseError


@dataclass(frozen=True, slots=True)
class KnownDisc:
    """One disc: its name, where it comes from, its TOML file."""

    name: str
    origin: Literal["shipped", "shop"]
    file: Path

    def layout(self) -> Layout:
        """The layout in its file."""
        return layout_from_toml(read_text(self.file, "a disc layout"), self.name)


def discs_folder(data: Path | None) -> Path:
    """Where this shop's discs are kept: ``data`` or the platform's user data folder, then ``discs``."""
    if data is None:
        from platformdirs import user_data_path

        data = user_data_path("spindlewright", appauthor=False)
    return data / "discs"


def known_discs(data: Path | None) -> list[KnownDisc]:
    """All discs by name, the shipped ones first."""
    shipped = Path(str(resources.files("spindlewright.bands") / "layouts"))
    found = [KnownDisc(file.stem, "shipped", file) for file in sorted(shipped.glob("*.toml"))]
    folder = discs_folder(data)
    learned = sorted(folder.glob("*.toml")) if folder.is_dir() else []
    return found + [KnownDisc(file.stem, "shop", file) for file in learned if not file.name.startswith(".")]


def find_disc(name: str, data: Path | None) -> KnownDisc:
    """The disc called ``name``; capitals and spaces at the ends do not matter."""
    discs = known_discs(data)
    for disc in discs:
        if disc.name.casefold() == name.strip().casefold():
            return disc
    names = ", ".join(disc.name for disc in discs) or "none"
    raise WrongUseError(f"No disc is called {name!r}. Known are: {names}. Others: spindlewright disc learn RECORDING")


def find_layout(text: str, data: Path | None) -> Layout:
    """A layout by the disc's name or from a TOML file."""
    path = Path(text)
    if path.suffix.casefold() == ".toml" or len(path.parts) > 1 or path.is_file():
        return layout_from_toml(read_text(path, "a disc layout"), text)
    return find_disc(text, data).layout()


def keep_disc(name: str, toml: str, data: Path | None, replace: bool) -> Path:
    """Keep a learned disc under ``name``; gives the file. An existing one is kept unless ``replace``."""
    checked = checked_disc_name(name)
    for disc in known_discs(data):
        if disc.name.casefold() != checked.casefold():
            continue
        if disc.origin == "shipped":
            raise WrongUseError(f"{checked!r} comes with Spindlewright; choose another name.")
        if not replace:
            raise WrongUseError(f"A disc called {disc.name!r} is there already; choose another name or add --replace.")
        write_whole(disc.file, toml)
        return disc.file
    file = discs_folder(data) / f"{checked}.toml"
    write_whole(file, toml)
    return file
