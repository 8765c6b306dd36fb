"""What customers read of the shop, gathered from the source, and the German messages for it.

``python -m tests.shop.tracking.translations`` lists what still lacks a translation and compiles the rest;
it needs none of the GNU gettext tools.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import polib

ROOT = Path(__file__).resolve().parents[3]
FOLDER = ROOT / "shop" / "locale" / "de" / "LC_MESSAGES"
PO, MO = FOLDER / "django.po", FOLDER / "django.mo"
SOURCES = ("shop/tracking", "shop/messages")
STAFF_ONLY = frozenset({"shop/messages/views.py", "shop/messages/forms.py"})
TEMPLATES = ("templates/tracking", "templates/mail")
MARKERS = frozenset({"_", "gettext", "gettext_lazy"})
IN_TEMPLATE = re.compile(r"(?<![a-z])gettext\(u?('(?:[^'\\]|\\.)*'|\"(?:[^\"\\]|\\.)*\")\)")


def in_source() -> Iterator[str]:
    """Yield every literal text that Python code marks for translation."""
    for folder in SOURCES:
        for path in sorted((ROOT / folder).glob("*.py")):
            if str(path.relative_to(ROOT)) in STAFF_ONLY:
                continue
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call) and getattr(node.func, "id", "") in MARKERS and node.args:
                    first = node.args[0]
                    if isinstance(first, ast.Constant) and isinstance(first.value, str):
                        yield first.value


def in_templates() -> Iterator[str]:
    """Yield every text that a template marks, as Django's own extraction sees it."""
    from django.utils.translation.template import templatize

    for folder in TEMPLATES:
        for path in sorted((ROOT / folder).iterdir()):
            found = templatize(path.read_text(encoding="utf-8"), origin=str(path))
            yield from (ast.literal_eval(text) for text in IN_TEMPLATE.findall(found))


def marked() -> list[str]:
    """Return every marked text once, in order."""
    return list(dict.fromkeys([*in_source(), *in_templates()]))


def translated(po: Path = PO) -> dict[str, str]:
    """Return the German messages by their English text, those that need no context."""
    single = (entry for entry in polib.pofile(str(po)) if not entry.msgid_plural and not entry.msgctxt)
    return {entry.msgid: entry.msgstr for entry in single if entry.translated()}


def known() -> dict[str, str]:
    """Return what a page of the shop finds: its own messages, and those of the app below it."""
    return translated(ROOT / "configurator" / "locale" / "de" / "LC_MESSAGES" / "django.po") | translated()


def main() -> None:
    """List what lacks a translation and compile."""
    german = known()
    for text in marked():
        if not german.get(text):
            print(repr(text))
    polib.pofile(str(PO)).save_as_mofile(str(MO))


if __name__ == "__main__":
    main()
