"""A small table as notebooks show it; an XML writer escapes what people have written."""

from collections.abc import Iterable, Sequence
from xml.etree import ElementTree


def html_table(title: str, said: Iterable[str], head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a title, sentences below it, and a table whose first column is the rows' heads; without rows no table."""
    whole = ElementTree.Element("div")
    ElementTree.SubElement(ElementTree.SubElement(whole, "p"), "strong").text = title
    for text in said:
        ElementTree.SubElement(whole, "p").text = text
    body = list(rows)
    if body:
        table = ElementTree.SubElement(whole, "table")
        top = ElementTree.SubElement(ElementTree.SubElement(table, "thead"), "tr")
        for text in head:
            ElementTree.SubElement(top, "th", scope="col").text = text
        lines = ElementTree.SubElement(table, "tbody")
        for first, *cells in body:
            line = ElementTree.SubElement(lines, "tr")
            ElementTree.SubElement(line, "th", scope="row").text = first
            for text in cells:
                ElementTree.SubElement(line, "td").text = text
    return ElementTree.tostring(whole, encoding="unicode", method="html")
