"""The published rules of Peppol's Order transaction, run as their publisher means them.

The rules are in the public repository OpenPEPPOL/poacc-upgrade-3 (rules 3.6 when this was written) and in
no package: ``KERBLINE_PEPPOL_RULES`` names a clone of it. They are Schematron over XPath 2.0; each pattern
becomes a mode of one XSLT 2.0 stylesheet for Saxon, in which the first rule that fits a node is tried.
What elements the transaction has, how often and with which codes, is read from the publisher's structure.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lxml import etree
from saxonche import PySaxonProcessor

SCH = "{http://purl.oclc.org/dsdl/schematron}"
XSL = "http://www.w3.org/1999/XSL/Transform"
STRUCTURE = "{urn:fdc:difi.no:2017:vefa:structure-1}"
CODES = "{urn:fdc:difi.no:2017:vefa:structure:CodeList-1}"
UBL = "urn:oasis:names:specification:ubl:schema:xsd:"
NAMESPACES = {
    "ubl": f"{UBL}Order-2",
    "cbc": f"{UBL}CommonBasicComponents-2",
    "cac": f"{UBL}CommonAggregateComponents-2",
}
# Named in the rules and defined in what the publisher makes from the structure.
LISTS = ("UNCL5189", "UNCL7161")
MATCHING = f"{{{XSL}}}template"


@dataclass(frozen=True)
class Broken:
    """A rule that does not hold: its id, how grave it is, and the publisher's words."""

    id: str
    flag: str
    text: str


@functools.lru_cache(maxsize=1)
def _lists(folder: Path) -> dict[str, frozenset[str]]:
    found = {}
    for path in (folder / "structure" / "codelist").glob("*.xml"):
        tree = etree.parse(path)
        inside = frozenset(str(one.text) for one in tree.iterfind(f"{CODES}Code/{CODES}Id"))
        found |= {path.stem: inside, str(tree.findtext(f"{CODES}Identifier")): inside}
    return found


def codes(folder: Path, name: str) -> frozenset[str]:
    """Return the codes of one of the publisher's lists, by its identifier or the name of its file."""
    return _lists(folder)[name]


def _variable(name: str, select: str) -> etree._Element:
    made = etree.Element(f"{{{XSL}}}variable", name=name)
    made.set("select", select)
    return made


def _rule(rule: etree._Element, mode: str, priority: int) -> etree._Element:
    made = etree.Element(MATCHING, match=rule.get("context"), mode=mode, priority=str(priority))
    made.extend(_variable(let.get("name"), let.get("value")) for let in rule.iterfind(f"{SCH}let"))
    for asserted in rule.iterfind(f"{SCH}assert"):
        failed = etree.SubElement(made, f"{{{XSL}}}if", test=f"not({asserted.get('test')})")
        told = etree.SubElement(failed, "broken", id=asserted.get("id"), flag=asserted.get("flag"))
        told.text = " ".join("".join(asserted.itertext()).split())
    etree.SubElement(made, f"{{{XSL}}}apply-templates", select="*", mode=mode)
    return made


def _stylesheet(folder: Path) -> str:
    rules = folder / "rules" / "sch"
    schema = etree.parse(rules / "PEPPOLBIS-T01.sch")
    schema.xinclude()
    names = {one.get("prefix"): one.get("uri") for one in schema.iterfind(f"{SCH}ns")}
    sheet = etree.Element(f"{{{XSL}}}stylesheet", nsmap={"xsl": XSL} | names, version="2.0")
    start = etree.SubElement(sheet, MATCHING, match="/")
    found = etree.SubElement(start, "found")
    sheet.extend(
        deepcopy(one) for one in schema.getroot().iterchildren() if str(one.tag).startswith(f"{{{XSL}}}")
    )
    for name in LISTS:
        sheet.append(
            _variable(f"cl{name}", "(" + ",".join(f"'{one}'" for one in sorted(codes(folder, name))) + ")")
        )
    parts = [rules / one.get("href") for one in schema.iterfind(f"{SCH}include")]
    for number, part in enumerate(path for path in parts if path.exists()):
        pattern, mode = etree.parse(part).getroot(), f"p{number}"
        etree.SubElement(found, f"{{{XSL}}}apply-templates", select="/*", mode=mode)
        sheet.extend(_variable(let.get("name"), let.get("value")) for let in pattern.iterfind(f"{SCH}let"))
        otherwise = etree.SubElement(sheet, MATCHING, match="*", mode=mode, priority="-1")
        etree.SubElement(otherwise, f"{{{XSL}}}apply-templates", select="*", mode=mode)
        for place, rule in enumerate(pattern.iterfind(f"{SCH}rule")):
            sheet.append(_rule(rule, mode, 1000 - place))
    return etree.tostring(sheet, encoding="unicode")


@functools.lru_cache(maxsize=1)
def _compiled(folder: Path) -> tuple[Any, Any]:
    processor = PySaxonProcessor(license=False)
    sheet = processor.new_xslt30_processor().compile_stylesheet(stylesheet_text=_stylesheet(folder))
    return processor, sheet


def broken_rules(folder: Path, xml: bytes) -> list[Broken]:
    """Return what the rules object to; nothing for a good order."""
    processor, sheet = _compiled(folder)
    report = sheet.transform_to_string(xdm_node=processor.parse_xml(xml_text=xml.decode()))
    found = etree.fromstring(report.encode())
    assert found.tag == "found", "the rules have not run at all"
    return [Broken(one.get("id"), one.get("flag"), str(one.text)) for one in found]


def structure_faults(folder: Path, xml: bytes) -> list[str]:
    """Return where an order is not built as the transaction is: elements, how often, attributes, codes."""
    tree = etree.parse(folder / "structure" / "syntax" / "ubl-order.xml")
    return list(_faults(folder, tree.find(f"{STRUCTURE}Document"), etree.fromstring(xml), "Order"))


def _bounds(term: etree._Element) -> tuple[int, float]:
    least, most = (term.get("cardinality") or "1..1").split("..")
    return int(least), float("inf") if most == "n" else int(most)


def _faults(folder: Path, wanted: etree._Element, found: etree._Element, path: str) -> Iterator[str]:
    yield from _coded(folder, wanted, str(found.text), path)
    for attribute in wanted.iterfind(f"{STRUCTURE}Attribute"):
        name = str(attribute.findtext(f"{STRUCTURE}Term"))
        value = found.get(name)
        if value is None and (attribute.get("usage") or "").lower() != "optional":
            yield f"{path} lacks @{name}"
        elif value is not None:
            yield from _coded(folder, attribute, value, f"{path}/@{name}")
    known = set()
    for term in wanted.iterfind(f"{STRUCTURE}Element"):
        name = str(term.findtext(f"{STRUCTURE}Term"))
        prefix, _, local = name.partition(":")
        known.add(tag := f"{{{NAMESPACES[prefix]}}}{local}")
        there = found.findall(tag)
        least, most = _bounds(term)
        if not least <= len(there) <= most:
            yield f"{path}/{local} stands {len(there)} times"
        for one in there:
            yield from _faults(folder, term, one, f"{path}/{local}")
    yield from (
        f"{path}/{etree.QName(one).localname} is none of its elements"
        for one in found
        if one.tag not in known
    )


def _coded(folder: Path, wanted: etree._Element, value: str, path: str) -> Iterator[str]:
    names = [str(one.text) for one in wanted.iterfind(f"{STRUCTURE}Reference[@type='CODE_LIST']")]
    if names and not any(value in codes(folder, name) for name in names):
        yield f"{path}: {value} is no code of {' or '.join(names)}"
