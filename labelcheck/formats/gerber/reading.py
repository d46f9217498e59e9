"""Read a Gerber layer file: bytes -> artwork."""

from collections.abc import Sequence

import numpy as np

from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.formats.gerber.attributes import attribute_set
from labelcheck.formats.gerber.blocks import Sheet, take_apart
from labelcheck.formats.gerber.bounds import MOST_BYTES
from labelcheck.formats.gerber.commands import declared_unit, interpret
from labelcheck.formats.gerber.coordinates import INCH, MM, CoordinateFormat, unit_name
from labelcheck.formats.gerber.drawing import Drawing
from labelcheck.formats.gerber.expanding import Layout
from labelcheck.formats.gerber.inking import prepare_inks
from labelcheck.formats.gerber.operations import find_operations, unit_words
from labelcheck.formats.gerber.program import Program
from labelcheck.formats.gerber.reach import within_reach
from labelcheck.formats.gerber.remarking import RemarkBook
from labelcheck.formats.gerber.sniffing import looks_like_gerber, plain_bytes
from labelcheck.formats.gerber.whole_image import finish_image
from labelcheck.formats.gerber.words import Words, decode
from labelcheck.trade.remembering import remembered

_SMALL_PEN_MM = 0.06
"""Where no unit is declared: a file whose apertures are mostly finer than any pen in millimetres is in inch."""
_NO_FORMAT = CoordinateFormat(False, False, 4, 6, 4, 6)
"""Stands in where a file has neither a format nor any coordinates."""


@remembered
def read_artwork(name: str, data: bytes) -> Artwork:
    """Read one Gerber layer file.

    `name` is the file's name within its set, for remarks. Raises `UnreadableFile` where nothing true can be
    returned. Source: Gerber Layer Format Specification, revision 2023.08, with its deprecated commands.
    """
    remarks = RemarkBook(name)
    sheet = take_apart(_checked(data, remarks), remarks)
    words = decode(sheet, remarks)
    program = _interpreted(sheet, unit_words(words), remarks)
    if not program.formats:
        if np.isin(words.letter, list(b"XYIJ")).any():
            problem = "it has no coordinate format (FS), so no length in it is known."
            cure = "Export the set in the extended format (RS-274X or later), which carries format and apertures."
            raise remarks.unreadable(None, problem, cure)
        program.formats.append(_NO_FORMAT)
    return _drawn(name, sheet, words, program, remarks)


def _checked(data: bytes, remarks: RemarkBook) -> bytes:
    """The file's bytes as plain text; raises where it cannot be a Gerber file."""
    if len(data) > MOST_BYTES:
        problem = f"it has {len(data):,} bytes, more than {MOST_BYTES:,}."
        raise remarks.unreadable(None, problem, "Export a single board instead of the panel.")
    text = plain_bytes(data)
    if not text.strip(b" \t\r\n\0"):
        raise remarks.unreadable(None, "it is empty.", "Export the set again.")
    if not looks_like_gerber(text):
        cure = "Check that this file belongs to the set; export the layer again if it should be drawn."
        raise remarks.unreadable(None, "it is not a Gerber layer file.", cure)
    return text


def _interpreted(sheet: Sheet, in_words: Sequence[tuple[int, float]], remarks: RemarkBook) -> Program:
    """The program of a file; where it declares no unit, in the unit that its apertures suggest."""
    unit = declared_unit(sheet, in_words)
    if unit is not None:
        return interpret(sheet, in_words, unit, remarks)
    # Attempt in millimetres, without telling remarks twice.
    program = interpret(sheet, in_words, MM, RemarkBook(remarks.file))
    sizes = [entry.aperture.parameters[0] for entry in program.apertures if entry.aperture.parameters]
    sizes = [size for size in sizes if size > 0]
    unit = INCH if sizes and float(np.median(sizes)) < _SMALL_PEN_MM else MM
    message = f"No unit is declared; {unit_name(unit)} was taken, going by the apertures. Check the board's size."
    remarks.note("no unit", None, message)
    return interpret(sheet, in_words, unit, remarks)


def _drawn(name: str, sheet: Sheet, words: Words, program: Program, remarks: RemarkBook) -> Artwork:
    """Everything that the file draws."""
    operations = find_operations(words, program, sheet, remarks)
    inks = prepare_inks(words, operations, program, sheet, remarks)
    drawing = Drawing(operations, program, inks, sheet, remarks)
    drawn = drawing.draw()
    shapes, at = drawn.shapes, operations.at[drawn.operation]
    if len(program.containers) > 1:
        shapes, at = Layout(drawing, drawn, program, inks, remarks).whole_image()
    shapes = within_reach(finish_image(shapes, at, program, sheet, remarks), remarks)
    if not sheet.whole:
        remarks.note("not whole", None, "The file has no end-of-file command (M02); it may be cut short.")
    first_draw = operations.at[:1] if len(operations) else np.zeros(1, dtype=np.int64)
    return Artwork(
        name=name,
        shapes=shapes,
        apertures=tuple(entry.aperture for entry in program.apertures),
        attribute_sets=program.attributes.sets(),
        file_attributes=attribute_set(program.attributes.of_file),
        unit=unit_name(program.units[int(program.unit_row.values_at(first_draw)[0])]),
        whole=sheet.whole,
        remarks=remarks.remarks(),
        passed_over=remarks.passed_over,
    )
