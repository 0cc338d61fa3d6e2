"""The plotting library's SVG made fit for page and sheet: no style, no metadata, short numbers, themed by classes.

A page's policy forbids style attributes, so each property becomes a presentation attribute, and each house colour a
class (``ink-line``, ``accent-fill``, see ``ink_and_paper.NAMES``) that a style sheet can give another value. By
itself, as in a PDF, the drawing keeps its own colours. Ids are counted off and carry the drawing's name, so that
many can stand on one page.
"""

from __future__ import annotations

import re
from xml.etree import ElementTree

from spindlewright.charts.ink_and_paper import FONTS, NAMES, STEP_NAMES

_SVG = "{http://www.w3.org/2000/svg}"
_XLINK = "{http://www.w3.org/1999/xlink}"
_NUMBER = re.compile(r"-?\d+\.\d+(?:e-?\d+)?")
_CLASSES = {**NAMES, **STEP_NAMES}
_KEPT_STYLES = {
    *("fill", "fill-opacity", "fill-rule", "stroke", "stroke-width", "stroke-opacity", "stroke-dasharray"),
    *("stroke-linecap", "stroke-linejoin", "stroke-dashoffset", "opacity", "text-anchor"),
}
_NUMERIC = ("d", "x", "y", "width", "height", "transform", "points", "stroke-dasharray")


def plain_svg(source: str, name: str, title: str, description: str, plot: tuple[float, float, float, float]) -> str:
    """``source`` as the plotting library wrote it, made plain.

    ``name`` is used for ids; ``title`` and ``description`` are read out to people who do not see the drawing;
    ``plot`` is the box (left, top, width, height) a cross-hair moves in, in the drawing's own units.
    """
    root = ElementTree.fromstring(source)
    _drop_what_is_not_drawn(root)
    renamed = _ids(root, name)
    for element in root.iter():
        _unstyled(element)
        _told_apart(element, renamed)
        _shortened(element)
    _colours_only_where_used(root)
    for attribute in ("version", "width", "height"):
        root.attrib.pop(attribute, None)
    _, _, width, height = root.attrib["viewBox"].split()
    root.attrib.update(
        {
            "width": f"{float(width):g}",
            "height": f"{float(height):g}",
            "viewBox": f"0 0 {float(width):g} {float(height):g}",
            "class": "chart-drawing",
            "role": "img",
            "aria-labelledby": f"{name}-title",
            "aria-describedby": f"{name}-words",
            "data-plot": " ".join(_short(value) for value in plot),
            "font-family": FONTS,
            "stroke-linejoin": "round",
        }
    )
    for place, (tag, words) in enumerate((("title", title), ("desc", description))):
        element = ElementTree.Element(f"{_SVG}{tag}", {"id": f"{name}-{'title' if tag == 'title' else 'words'}"})
        element.text = words
        root.insert(place, element)
    _without_empty_groups(root)
    for element in root.iter():
        element.tag = element.tag.removeprefix(_SVG)
        if element.tag not in {"text", "title", "desc", "tspan"}:
            element.text = None
        element.tail = None
    root.attrib["xmlns"] = "http://www.w3.org/2000/svg"
    return ElementTree.tostring(root, encoding="unicode")


def _drop_what_is_not_drawn(root: ElementTree.Element) -> None:
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag.endswith("}metadata") or child.tag == f"{_SVG}style":
                parent.remove(child)


def _without_empty_groups(root: ElementTree.Element) -> None:
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag in {f"{_SVG}defs", f"{_SVG}g"} and len(child) == 0:
                parent.remove(child)


def _ids(root: ElementTree.Element, name: str) -> dict[str, str]:
    """New ids, only for what is referred to."""
    text = ElementTree.tostring(root, encoding="unicode")
    used = set(re.findall(r'(?:href="|url\()#([^")]+)', text))
    found = [element.attrib["id"] for element in root.iter() if element.attrib.get("id") in used]
    return {old: f"{name}-{number}" for number, old in enumerate(found, 1)}


def _unstyled(element: ElementTree.Element) -> None:
    style = element.attrib.pop("style", "")
    for declaration in filter(None, (part.strip() for part in style.split(";"))):
        property_name, _, value = (part.strip() for part in declaration.partition(":"))
        if property_name == "font-size":
            element.attrib["font-size"] = value.removesuffix("px")
        elif property_name == "font-weight":
            element.attrib["font-weight"] = value
        elif property_name in _KEPT_STYLES:
            element.attrib[property_name] = value
    classes = []
    for attribute, kind in (("stroke", "line"), ("fill", "fill")):
        colour = element.attrib.get(attribute, "").lower()
        if colour in _CLASSES:
            classes.append(f"{_CLASSES[colour]}-{kind}")
    if classes:
        element.attrib["class"] = " ".join(classes)


def _colours_only_where_used(root: ElementTree.Element) -> None:
    """A shape that is used elsewhere takes its colours from there; a page's rules do not reach its copies."""
    for definitions in root.iter(f"{_SVG}defs"):
        for shape in definitions.findall(f"{_SVG}path"):
            for attribute in ("class", "stroke", "fill"):
                shape.attrib.pop(attribute, None)


def _told_apart(element: ElementTree.Element, renamed: dict[str, str]) -> None:
    old = element.attrib.pop("id", None)
    if old in renamed:
        element.attrib["id"] = renamed[old]
    target = element.attrib.pop(f"{_XLINK}href", "")
    if target:
        element.attrib["href"] = f"#{renamed[target.removeprefix('#')]}"
    clip = element.attrib.get("clip-path", "")
    if clip:
        element.attrib["clip-path"] = f"url(#{renamed[clip.removeprefix('url(#').removesuffix(')')]})"


def _shortened(element: ElementTree.Element) -> None:
    if element.attrib.get("transform", "").startswith("rotate(-0 "):
        element.attrib.pop("transform")
    for attribute in _NUMERIC:
        if attribute in element.attrib:
            value = _NUMBER.sub(lambda match: _short(float(match.group())), element.attrib[attribute])
            element.attrib[attribute] = value.replace("\n", " ").strip()


def _short(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".").replace("-0", "-0") if value else "0"
