"""A PDF file out of pages: header, objects, table of their places, trailer (ISO 32000-1, clause 7.5).

A page and a form count in millimetres; the one scale that makes points of them stands at the head of each page. The
same pages give the same bytes: no clock, no name of a program, an identifier made of the content.
"""

import hashlib
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from labelcheck.trade.units import MM_PER_INCH

POINTS_PER_MM = 72 / MM_PER_INCH
_HEADER = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
"""Four bytes above 127 tell programs that carry files that this one is no text (clause 7.5.2)."""
_CATALOGUE, _PAGES, _INFO, _PLAIN, _BOLD = 1, 2, 3, 4, 5
_FIRST_FREE = 6


@dataclass(frozen=True, slots=True)
class Page:
    """One page."""

    width_mm: float
    height_mm: float
    content: bytes
    """As `Drawing` makes it; counted from the lower left corner of the paper."""


@dataclass(frozen=True, slots=True)
class Form:
    """A drawing that pages show as often as they like."""

    box_mm: tuple[float, float, float, float]
    """Nothing is drawn outside of it: x0, y0, x1, y1."""
    content: bytes


def pdf_of(pages: Sequence[Page], forms: Mapping[str, Form], title: str) -> bytes:
    """The whole file; readers of it are asked to offer printing without scaling (clause 12.2, PrintScaling)."""
    form_at = {name: _FIRST_FREE + number for number, name in enumerate(sorted(forms))}
    first_page = _FIRST_FREE + len(forms)
    page_at = [first_page + 2 * number for number in range(len(pages))]
    shown = " ".join(f"/{name} {at} 0 R" for name, at in sorted(form_at.items()))
    fonts = f"/Font << /F1 {_PLAIN} 0 R /F2 {_BOLD} 0 R >>"
    objects = {
        _CATALOGUE: _plain(
            f"<< /Type /Catalog /Pages {_PAGES} 0 R /Lang (en) "
            "/ViewerPreferences << /PrintScaling /None /DisplayDocTitle true >> >>"
        ),
        _PAGES: _plain(
            f"<< /Type /Pages /Count {len(pages)} /Kids [{' '.join(f'{at} 0 R' for at in page_at)}] "
            f"/Resources << {fonts} /XObject << {shown} >> >> >>"
        ),
        _INFO: _plain(f"<< /Title {_text_string(title)} >>"),
        _PLAIN: _font("Helvetica"),
        _BOLD: _font("Helvetica-Bold"),
    }
    for name, at in form_at.items():
        form = forms[name]
        box = " ".join(f"{edge:.4f}" for edge in form.box_mm)
        head = f"/Type /XObject /Subtype /Form /BBox [{box}] /Resources << {fonts} >>"
        objects[at] = _stream(head, form.content)
    for page, at in zip(pages, page_at, strict=True):
        width, height = page.width_mm * POINTS_PER_MM, page.height_mm * POINTS_PER_MM
        objects[at] = _plain(
            f"<< /Type /Page /Parent {_PAGES} 0 R /MediaBox [0 0 {width:.4f} {height:.4f}] /Contents {at + 1} 0 R >>"
        )
        scale = f"{POINTS_PER_MM:.10f} 0 0 {POINTS_PER_MM:.10f} 0 0 cm\n".encode("ascii")
        objects[at + 1] = _stream("", scale + page.content)
    return _file(objects)


def _file(objects: Mapping[int, bytes]) -> bytes:
    written = bytearray(_HEADER)
    places = []
    for number in sorted(objects):
        places.append(len(written))
        written += b"%d 0 obj\n" % number + objects[number] + b"\nendobj\n"
    table = len(written)
    count = len(objects) + 1
    # Each entry is 20 bytes, its line end of two signs included (clause 7.5.4).
    written += b"xref\n0 %d\n0000000000 65535 f \n" % count
    written += b"".join(b"%010d 00000 n \n" % place for place in places)
    identifier = hashlib.sha256(bytes(written)).hexdigest()[:32].encode("ascii")
    written += b"trailer\n<< /Size %d /Root %d 0 R /Info %d 0 R /ID [<%b> <%b>] >>\nstartxref\n%d\n%%%%EOF\n" % (
        count, _CATALOGUE, _INFO, identifier, identifier, table,
    )
    return bytes(written)


def _plain(dictionary: str) -> bytes:
    return dictionary.encode("ascii")


def _font(name: str) -> bytes:
    return _plain(f"<< /Type /Font /Subtype /Type1 /BaseFont /{name} /Encoding /WinAnsiEncoding >>")


def _stream(head: str, content: bytes) -> bytes:
    packed = zlib.compress(content, 6)
    dictionary = f"<< {head} /Length {len(packed)} /Filter /FlateDecode >>".encode("ascii")
    return dictionary + b"\nstream\n" + packed + b"\nendstream"


def _text_string(text: str) -> str:
    """UTF-16 with its mark, in hexadecimal: any sign, and nothing to be escaped (clause 7.9.2.2)."""
    marked = "\ufeff" + text
    return f"<{marked.encode('utf-16-be', 'replace').hex()}>"
