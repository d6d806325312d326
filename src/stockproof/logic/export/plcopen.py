"""The control program as PLCopen TC6 XML, version 2.01, for tools that exchange projects in that form.

The text of every body is the same Structured Text as in the source file; terminals stay in the comments, because the
standard's exchange form has no addresses that fit every controller.

References
----------
PLCopen Technical Committee 6, *XML Formats for IEC 61131-3*, version 2.01 (2009), and its schema.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable
from xml.etree import ElementTree

from stockproof import __version__
from stockproof.logic.export.layout import duration_literal
from stockproof.logic.export.model import SCAN_INTERVAL_S, Code, Pou, Variable
from stockproof.logic.export.names import DRAFT

__all__ = ["plcopen_xml"]

NAMESPACE = "http://www.plcopen.org/xml/tc6_0201"
XHTML = "http://www.w3.org/1999/xhtml"
#: Elementary types have elements of their own; every other type is derived.
ELEMENTARY = ("BOOL", "INT", "TIME")
POU_TYPES = {"FUNCTION_BLOCK": "functionBlock", "PROGRAM": "program"}
#: Characters XML 1.0 does not allow (production 2 of the recommendation, fifth edition).
_ILLEGAL = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def plcopen_xml(code: Code, name: str, firm: str, issue_date: datetime.date) -> bytes:
    """Give the program as an XML project.

    Parameters
    ----------
    code : what to write
    name, firm : the installation's and the firm's name, as the head states them
    issue_date : becomes the time of creation; the clock is never read
    """
    created = f"{issue_date.isoformat()}T00:00:00"
    project = ElementTree.Element("project", {"xmlns": NAMESPACE, "xmlns:xhtml": XHTML})
    head = {
        "companyName": firm,
        "productName": "Stockproof",
        "productVersion": __version__,
        "creationDateTime": created,
    }
    ElementTree.SubElement(project, "fileHeader", {key: _clean(value) for key, value in head.items()})
    _content(project, name)
    types = ElementTree.SubElement(project, "types")
    ElementTree.SubElement(types, "dataTypes")
    pous = ElementTree.SubElement(types, "pous")
    for pou in code.pous:
        _pou(pous, pou)
    _instances(project, code)
    ElementTree.indent(project)
    return bytes(ElementTree.tostring(project, encoding="utf-8", xml_declaration=True)) + b"\n"


def _content(project: ElementTree.Element, name: str) -> None:
    content = ElementTree.SubElement(project, "contentHeader", {"name": _clean(name)})
    ElementTree.SubElement(content, "Comment").text = DRAFT
    coordinates = ElementTree.SubElement(content, "coordinateInfo")
    for language in ("fbd", "ld", "sfc"):
        ElementTree.SubElement(ElementTree.SubElement(coordinates, language), "scaling", {"x": "1", "y": "1"})


def _pou(pous: ElementTree.Element, pou: Pou) -> None:
    element = ElementTree.SubElement(pous, "pou", {"name": pou.name, "pouType": POU_TYPES[pou.kind]})
    interface = ElementTree.SubElement(element, "interface")
    for section, variables in (("inputVars", pou.inputs), ("outputVars", pou.outputs), ("localVars", pou.locals)):
        if variables:
            _variables(ElementTree.SubElement(interface, section), variables)
    _words(interface, "documentation", pou.comment)
    _words(ElementTree.SubElement(element, "body"), "ST", "\n".join(pou.body))


def _variables(section: ElementTree.Element, variables: Iterable[Variable]) -> None:
    for variable in variables:
        element = ElementTree.SubElement(section, "variable", {"name": variable.name})
        kind = ElementTree.SubElement(element, "type")
        if variable.type in ELEMENTARY:
            ElementTree.SubElement(kind, variable.type)
        else:
            ElementTree.SubElement(kind, "derived", {"name": variable.type})
        if variable.start:
            start = ElementTree.SubElement(element, "initialValue")
            ElementTree.SubElement(start, "simpleValue", {"value": variable.start})
        if variable.comment:
            _words(element, "documentation", variable.comment)


def _instances(project: ElementTree.Element, code: Code) -> None:
    configurations = ElementTree.SubElement(ElementTree.SubElement(project, "instances"), "configurations")
    configuration = ElementTree.SubElement(configurations, "configuration", {"name": "Line"})
    resource = ElementTree.SubElement(configuration, "resource", {"name": "Controller"})
    interval = duration_literal(SCAN_INTERVAL_S)
    task = ElementTree.SubElement(resource, "task", {"name": "Scan", "interval": interval, "priority": "1"})
    ElementTree.SubElement(task, "pouInstance", {"name": "Run", "typeName": code.program.name})


def _words(parent: ElementTree.Element, name: str, text: str) -> None:
    """Text stands in an element of XHTML: bare text is not of the schema."""
    ElementTree.SubElement(ElementTree.SubElement(parent, name), "xhtml:pre").text = _clean(text)


def _clean(text: str) -> str:
    return _ILLEGAL.sub("\ufffd", text)
