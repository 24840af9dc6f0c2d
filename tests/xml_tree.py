"""Our drawings read back as a plain tree, without namespaces."""

from __future__ import annotations

from xml.etree import ElementTree as ET


def plain_tree(svg):
    """The root of a drawing, tags without namespace."""
    root = ET.fromstring(svg.encode())  # noqa: S314  our own drawing
    for element in root.iter():
        element.tag = element.tag.rpartition("}")[2]
    return root
