"""A PDF that other readers take: structure, text, sizes."""

import io

import numpy as np
import pytest

from labelcheck.formats.pdf.document import Form, Page, pdf_of
from labelcheck.formats.pdf.drawing import Drawing
from tests.pdf_seen import objects_of, pages_of


def a_page(width_mm: float = 210.0, height_mm: float = 297.0) -> Page:
    drawing = Drawing()
    drawing.pen(0.2, (0.1, 0.2, 0.3))
    drawing.lines(np.array([(10.0, 20.0, 110.0, 20.0)]))
    drawing.text(10.0, 30.0, "Signal (head) \\ 50 %", 4.0)
    drawing.saved()
    drawing.moved(50.0, 60.0)
    drawing.form("Top")
    drawing.restored()
    return Page(width_mm, height_mm, drawing.content)


def a_form() -> Form:
    drawing = Drawing()
    drawing.discs(np.array([(5.0, 5.0, 2.0)]))
    return Form((0.0, 0.0, 10.0, 10.0), drawing.content)


def test_lengths_come_out_in_millimetres() -> None:
    page = pages_of(pdf_of([a_page()], {"Top": a_form()}, "sheet"))[0]
    assert (page.width_mm, page.height_mm) == (pytest.approx(210.0, abs=1e-4), pytest.approx(297.0, abs=1e-4))
    line, disc = page.drawn
    assert line.paths[0] == [pytest.approx((10.0, 20.0), abs=1e-6), pytest.approx((110.0, 20.0), abs=1e-6)]
    assert (line.pen_mm, line.colour) == (pytest.approx(0.2), (0.1, 0.2, 0.3))
    assert disc.paths[0][0] == pytest.approx((57.0, 65.0), abs=1e-6)  # the form lies at 50, 60
    assert page.texts == [("Signal (head) \\ 50 %", pytest.approx(10.0, abs=1e-6), pytest.approx(30.0, abs=1e-6))]


def test_the_same_pages_give_the_same_bytes_and_others_do_not() -> None:
    one, two = (pdf_of([a_page()], {"Top": a_form()}, "sheet") for _ in range(2))
    assert one == two
    assert pdf_of([a_page(200.0)], {"Top": a_form()}, "sheet").split(b"/ID")[1] != one.split(b"/ID")[1]


def test_a_reader_that_is_strict_takes_it() -> None:
    pypdf = pytest.importorskip("pypdf", reason="the reading library is not installed")
    title = 'Weichenantrieb "Süd" µ Ω'
    made = pdf_of([a_page(), a_page(297.0, 210.0)], {"Top": a_form()}, title)
    read = pypdf.PdfReader(io.BytesIO(made), strict=True)
    assert len(read.pages) == 2
    assert read.metadata.title == title
    assert "Signal (head) \\ 50 %" in read.pages[1].extract_text()
    assert float(read.pages[1].mediabox.width) * 25.4 / 72 == pytest.approx(297.0, abs=1e-3)
    # ISO 32000-1, table 150: the print dialogue shall reflect no page scaling.
    assert read.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_no_clock_and_no_program_stand_in_it() -> None:
    whole = b"".join(objects_of(pdf_of([a_page()], {"Top": a_form()}, "sheet")).values())
    assert b"Date" not in whole and b"/Producer" not in whole
