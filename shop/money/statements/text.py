"""The text of a statement that is no XML, whatever its bank encoded it in."""

from __future__ import annotations

from django.utils.translation import gettext as _

from .entries import MAX_BYTES, refuse


def decode(data: bytes) -> str:
    """Return the text of UTF-8, UTF-16 or Windows-1252; raise ``StatementError`` for what is no text."""
    if len(data) > MAX_BYTES:
        raise refuse(_("The file is larger than %(size)s MB.") % {"size": MAX_BYTES // 1_000_000})
    if not data.strip(b"\x00 \t\r\n\xef\xbb\xbf\xff\xfe"):
        raise refuse(_("The file is empty."))
    for encoding in encodings(data):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if _is_text(text):
            return text
    raise refuse(_("This is not a text file. Save it as CSV first."))


def _is_text(text: str) -> bool:
    """Whether hardly any character is a control; some banks leave a stray one in a name."""
    controls = sum(char < " " and char not in "\t\n\r\f\x1a" for char in text)
    return "\x00" not in text and controls * 100 <= len(text)


def encodings(data: bytes) -> tuple[str, ...]:
    """Return the encodings to try for a file's bytes, the likeliest first."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return ("utf-16",)
    head = data[:400]
    if head.count(b"\x00") > len(head) // 4:
        # UTF-16 without a mark: in the West every other byte is nought.
        return ("utf-16-le",) if head[1::2].count(b"\x00") > head[::2].count(b"\x00") else ("utf-16-be",)
    # Older bank exports are Windows-1252; five bytes have no meaning there, hence the last.
    return ("utf-8-sig", "cp1252", "latin-1")
