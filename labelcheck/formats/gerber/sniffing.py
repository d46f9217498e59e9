"""Cheap looks at a file: is it Gerber, and what does it say about itself."""

import codecs
import re

from labelcheck.formats.gerber.artwork import AttributeSet
from labelcheck.formats.gerber.attributes import attribute_set, split_attribute
from labelcheck.formats.gerber.blocks import text_of

_LOOKED_AT = 16 * 1024
"""Bytes looked at; preambles and comments of real files end well before."""

_EXTENDED = re.compile(
    rb"(?:^|[\r\n])[A-Z0-9*%,.+\- \t]{0,200}%[ \t\r\n]{0,4}"
    rb"(?:FS[LTDAI]{0,2}[NGDM\d]{0,8}X\d\dY\d\d|MO(?:IN|MM)|ADD?\d{1,9}|AM|T[FAOD]|LP[DC]|SR|IP|OF|IN|LN)"
)
"""An extended command with nothing but commands before it on its line; prose may quote one."""
_OPERATION = re.compile(rb"(?:[XYIJ][-+]?\d{1,18}){1,4}[ \t]{0,4}D0?[123][ \t]{0,4}\*")
_COMMENT = re.compile(rb"(?:^|[\r\n*])[ \t]{0,8}G0?4[^*]{0,2000}\*")
_DRILL = re.compile(rb"(?:^|[\r\n])[ \t]{0,8}(?:M48|T\d{1,4}C[\d.]+|;)")
_FILE_ATTRIBUTE = re.compile(rb"TF([^*%]*)\*")
_BEFORE_ATTRIBUTE = re.compile(rb"(?:%|G0?4\s{0,8}#@!)\s{0,8}$")
_WITHIN = 24
"""Bytes before an attribute that its `%` or comment mark may take."""
_END_OF_BLOCK = b"*"


def plain_bytes(data: bytes) -> bytes:
    """Bytes without a byte-order mark; UTF-16 is turned into UTF-8."""
    if data.startswith(codecs.BOM_UTF8):
        return data[len(codecs.BOM_UTF8) :]
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return data.decode("utf-16", errors="replace").encode("utf-8")
    return data


def looks_like_gerber(data: bytes) -> bool:
    """Whether the first few kilobytes read like a Gerber layer file."""
    head = plain_bytes(data[:_LOOKED_AT])
    if _is_binary(head):
        return False
    if _END_OF_BLOCK not in head:
        return False
    if _EXTENDED.search(head) is not None:
        return True
    if _DRILL.search(head) is not None:
        return False
    return _OPERATION.search(head) is not None or _COMMENT.search(head) is not None


def _is_binary(head: bytes) -> bool:
    """Whether one byte in fifty and more is a control character that text does not have; a few may be damage."""
    controls = len(head) - len(head.translate(None, bytes(range(9)) + bytes(range(14, 32)) + b"\x7f"))
    return controls > 4 + len(head) / 50


def peek_file_attributes(data: bytes) -> AttributeSet:
    """File attributes in a file, whether in `%TF…*%` or in `G04 #@! TF…*` comments; later ones win."""
    found: dict[str, tuple[str, ...]] = {}
    text = plain_bytes(data)
    for match in _FILE_ATTRIBUTE.finditer(text):
        if _BEFORE_ATTRIBUTE.search(text, max(0, match.start() - _WITHIN), match.start()) is not None:
            name, values = split_attribute(text_of(match.group(1)))
            found[name] = values
    return attribute_set(found)
