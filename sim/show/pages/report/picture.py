"""A plot's SVG file as a part of a page: without styles of its own, which a strict page refuses, and with names of its own."""

import re
from pathlib import Path
from xml.etree import ElementTree

from markupsafe import Markup

from sim.show.pages.report.parts import Picture

SVG, LINK = "http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"
TITLE_WEIGHT = "700"
REFERENCE = re.compile(r"url\(#([^)]*)\)")
ALONG = "along_"
"""How the name of a patch begins that says what lies along a panel (sim/show/plots/panel.py)."""

FALLBACK = ", Verdana, sans-serif"
"""Where a phone has not the font in which widths were measured; both are about as wide."""


def picture(path: Path) -> Picture:
    """Return a plot that was drawn to an SVG file, ready for a page."""
    name = path.stem
    root = ElementTree.fromstring(path.read_text(encoding="utf-8"))
    said = _title(root)
    for element in said:
        element.set("class", "said")
    words = " ".join((element.text or "").strip() for element in said)
    own = _rewritten(root, f"{name}-")
    own.attrib = {
        "viewBox": root.get("viewBox", ""), "role": "img", "aria-label": words or name.replace("_", " "), "class": "plot",
    }  # fmt: skip
    text = ElementTree.tostring(own, encoding="unicode")
    # Of our own plots, written by an XML writer: names in it are escaped there.
    return Picture(Markup(text), words, name)


def _title(root: ElementTree.Element) -> list[ElementTree.Element]:
    """Return the lines in which the plot says its finding: its first bold text and what is as large."""
    texts = [
        (element, _styles(element))
        for element in root.iter(f"{{{SVG}}}text")
        if _styles(element).get("font-weight") == TITLE_WEIGHT
    ]
    if not texts:
        return []
    size = texts[0][1].get("font-size")
    return [element for element, style in texts if style.get("font-size") == size]


def _styles(element: ElementTree.Element) -> dict[str, str]:
    pairs = (part.partition(":") for part in element.get("style", "").split(";"))
    return {key.strip(): value.strip() for key, _, value in pairs if key.strip()}


def _rewritten(element: ElementTree.Element, before: str) -> ElementTree.Element:
    """Return an element without namespaces, with styles as attributes and every name begun by the plot's own."""
    made = ElementTree.Element(element.tag.rpartition("}")[2])
    made.text, made.tail = element.text, element.tail
    for key, value in element.attrib.items():
        plain = key.rpartition("}")[2]
        if plain == "style":
            continue
        if plain == "id":
            value = before + value
        elif plain == "href":
            value = "#" + before + value.lstrip("#")
        made.set(plain, REFERENCE.sub(lambda match: f"url(#{before}{match.group(1)})", value))
    for key, value in _styles(element).items():
        value = value.replace("'", "") + FALLBACK if key == "font-family" else value
        made.set(key, REFERENCE.sub(lambda match: f"url(#{before}{match.group(1)})", value))
    if made.tag == "g" and element.get("id", "").startswith(ALONG):
        return _along(element)
    for child in element:
        # Colours and joins for all, which presentation attributes say too, and what says who drew it.
        if child.tag.rpartition("}")[2] in ("style", "metadata"):
            continue
        own = _rewritten(child, before)
        # Names that nothing points to are most of a file.
        if own.tag == "g" and not {"clip-path", "transform"} & own.attrib.keys():
            own.attrib.pop("id", None)
        made.append(own)
    return made


def _along(element: ElementTree.Element) -> ElementTree.Element:
    """Return the patch over a panel with what lies along it, for a cursor."""
    _, quantity, low, high, *_ = element.get("id", "").split("_")
    path = element.find(f"{{{SVG}}}path")
    places = [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", "" if path is None else path.get("d", ""))]
    xs, ys = places[0::2] or [0.0], places[1::2] or [0.0]
    return ElementTree.Element(
        "rect",
        {
            "class": "along", "data-quantity": quantity, "data-low": low, "data-high": high, "fill": "none",
            "pointer-events": "all", "x": f"{min(xs):g}", "y": f"{min(ys):g}",
            "width": f"{max(xs) - min(xs):g}", "height": f"{max(ys) - min(ys):g}",
        },
    )  # fmt: skip
