"""Read a Gerber layer file: bytes -> artwork."""

import numpy as np

from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.formats.gerber.attributes import attribute_set
from labelcheck.formats.gerber.blocks import Sheet, take_apart
from labelcheck.formats.gerber.bounds import MOST_BYTES
from labelcheck.formats.gerber.commands import Interpreter, Program
from labelcheck.formats.gerber.coordinates import INCH, MM, CoordinateFormat, unit_name
from labelcheck.formats.gerber.drawing import Drawing
from labelcheck.formats.gerber.expanding import Layout
from labelcheck.formats.gerber.inking import prepare_inks
from labelcheck.formats.gerber.operations import find_operations, unit_words
from labelcheck.formats.gerber.remarking import RemarkBook
from labelcheck.formats.gerber.sniffing import looks_like_gerber, plain_bytes
from labelcheck.formats.gerber.whole_image import finish_image
from labelcheck.formats.gerber.words import Words, decode

_SMALL_PEN = 0.06
"""Where no unit is declared: a file whose apertures are mostly smaller than this is in inch (common practice)."""


def read_artwork(name: str, data: bytes) -> Artwork:
    """Read one Gerber layer file.

    `name` is the file's name within its set, for remarks. Raises `UnreadableFile` where nothing true can be
    returned. Source: Gerber Layer Format Specification, revision 2023.08, with its deprecated commands.
    """
    remarks = RemarkBook(name)
    data = _checked(data, remarks)
    sheet = take_apart(data, remarks)
    words = decode(sheet, remarks)
    in_words = unit_words(words)
    first_unit = _first_unit(sheet, in_words)
    interpreter = Interpreter(sheet, in_words, remarks)
    program = interpreter.run(first_unit if first_unit is not None else MM)
    if first_unit is None:
        guess = _guessed_unit(program)
        message = f"No unit is declared; {unit_name(guess)} was taken. Check the size of the board."
        remarks.note("no unit", None, message)
        if guess != MM:
            program = Interpreter(sheet, in_words, RemarkBook(name)).run(guess)
    shapes_known = bool(np.isin(words.letter, list(b"XYIJ")).any())
    if not program.formats:
        if shapes_known:
            raise remarks.unreadable(
                None,
                "it has no coordinate format (FS), so no length in it is known.",
                "Export the set in the extended format (RS-274X or later), which carries format and apertures.",
            )
        program.formats.append(CoordinateFormat(False, False, 4, 6, 4, 6))
    return _draw(name, sheet, words, program, remarks)


def _draw(name: str, sheet: Sheet, words: Words, program: Program, remarks: RemarkBook) -> Artwork:
    operations = find_operations(words, program, sheet, remarks)
    inks = prepare_inks(words, operations, program, sheet, remarks)
    drawing = Drawing(operations, program, inks, sheet, remarks)
    drawn = drawing.draw()
    if len(program.containers) > 1:
        shapes, at = Layout(drawn, program, inks, drawing.state, drawing.spots, remarks).whole_image()
    else:
        shapes, at = drawn.shapes, operations.at[drawn.operation]
    shapes = finish_image(shapes, at, program, sheet, remarks)
    if not sheet.whole:
        remarks.note("not whole", None, "The file has no end-of-file command (M02); it may be cut short.")
    return Artwork(
        name=name,
        shapes=shapes,
        apertures=tuple(program.apertures),
        attribute_sets=program.attributes.sets(),
        file_attributes=attribute_set(program.attributes.of_file),
        unit=unit_name(program.units[0]),
        whole=sheet.whole,
        remarks=remarks.remarks(),
    )


def _checked(data: bytes, remarks: RemarkBook) -> bytes:
    """The file's bytes as plain text; raises where it cannot be a Gerber file."""
    if len(data) > MOST_BYTES:
        problem = f"it has {len(data):,} bytes, more than {MOST_BYTES:,}."
        raise remarks.unreadable(None, problem, "Export a single board, or fewer repeats.")
    text = plain_bytes(data)
    if not text.strip():
        raise remarks.unreadable(None, "it is empty.", "Export the set again.")
    if not looks_like_gerber(text):
        cure = "Check that this file belongs to the set; export the layer again if it should be drawn."
        raise remarks.unreadable(None, "it is not a Gerber layer file.", cure)
    return text


def _first_unit(sheet: Sheet, in_words: list[tuple[int, float]]) -> float | None:
    """The unit that is declared first, by MO or by G70/G71."""
    declared = list(in_words)
    for statement in sheet.statements:
        unit = {"MOMM": MM, "MOIN": INCH}.get(statement.text.replace(" ", "").upper())
        if unit is not None:
            declared.append((statement.at, unit))
            break
    return min(declared)[1] if declared else None


def _guessed_unit(program: Program) -> float:
    """Inch where most apertures would be finer than any pen in millimetres."""
    sizes = [aperture.parameters[0] for aperture in program.apertures if aperture.parameters]
    sizes = [size for size in sizes if size > 0]
    return INCH if sizes and float(np.median(sizes)) < _SMALL_PEN else MM
