"""Reading a chart's SVG back by plain XML: paths as points, the plot's box, lines of a colour, words."""

from __future__ import annotations

import re
from xml.etree import ElementTree

Point = tuple[float, float]


def parsed(svg: str) -> ElementTree.Element:
    """The drawing as a tree without name spaces."""
    root = ElementTree.fromstring(svg)
    for element in root.iter():
        element.tag = element.tag.rpartition("}")[2]
    return root


def plot_box(root: ElementTree.Element) -> tuple[float, float, float, float]:
    """Left, top, width and height of the plot."""
    left, top, width, height = (float(v) for v in root.attrib["data-plot"].split())
    return left, top, width, height


def points(path: str) -> list[Point]:
    """Corners of a path of straight lines."""
    numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", path)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def lines_of_class(root: ElementTree.Element, name: str) -> list[list[Point]]:
    """Points of all lines of this colour, one list for each time the pen is put down; definitions left out."""
    defined = {path for definition in root.iter("defs") for path in definition.iter("path")}
    return [
        points(part)
        for path in root.iter("path")
        if path not in defined and f"{name}-line" in path.attrib.get("class", "").split()
        for part in path.attrib["d"].split("M")
        if part.strip()
    ]


def paths_filled(root: ElementTree.Element, name: str) -> list[str]:
    """Path data of everything filled in this colour."""
    return [p.attrib["d"] for p in root.iter("path") if f"{name}-fill" in p.attrib.get("class", "").split()]


def words(root: ElementTree.Element) -> list[str]:
    """All words that are drawn."""
    return ["".join(text.itertext()).strip() for text in root.iter("text")]


def places_of(root: ElementTree.Element, wanted: str) -> list[Point]:
    """Wherever these words stand."""
    found = [text for text in root.iter("text") if "".join(text.itertext()).strip() == wanted]
    return [(float(text.attrib["x"]), float(text.attrib["y"])) for text in found]


def word_place(root: ElementTree.Element, wanted: str) -> Point:
    """Where a word stands; fails when it is not there once."""
    (place,) = places_of(root, wanted)
    return place
