"""A small reader of PDF for the tests, written from ISO 32000-1 alone: what a page strokes and fills, in millimetres.

It imports nothing of labelcheck and takes every number from the file: page size, scale, places of the objects.
"""

import re
import zlib
from dataclasses import dataclass, field

MM_PER_POINT = 25.4 / 72
_TOKEN = re.compile(rb"<[0-9a-fA-F]*>|\[[^\]]*\]|/?[^\s\[\]<>]+")
Matrix = tuple[float, float, float, float, float, float]


@dataclass
class Drawn:
    """What one painting operator put on the page: its paths as points, a curve by its end points."""

    how: str
    colour: tuple[float, ...]
    pen_mm: float
    dashed: bool
    paths: list[list[tuple[float, float]]]
    windows: list[tuple[float, float, float, float]]


@dataclass
class SeenPage:
    width_mm: float
    height_mm: float
    drawn: list[Drawn] = field(default_factory=list)
    texts: list[tuple[str, float, float]] = field(default_factory=list)

    def stroked(self, colour: tuple[float, float, float] | None = None) -> list[Drawn]:
        return [one for one in self.drawn if one.how == "S" and (colour is None or one.colour == colour)]


def objects_of(pdf: bytes) -> dict[int, bytes]:
    """Every object, found by the table of places and by nothing else."""
    start = int(re.search(rb"startxref\s+(\d+)\s+%%EOF\s*$", pdf)[1])
    assert pdf[start : start + 4] == b"xref"
    first, count = map(int, pdf[start + 5 :].split(None, 2)[:2])
    rows = pdf.index(b"\n", start + 5) + 1
    found = {}
    for number in range(first, first + count):
        entry = pdf[rows + 20 * number : rows + 20 * number + 20]
        assert len(entry) == 20 and entry[-2:] in (b" \n", b"\r\n"), entry
        if entry[17:18] == b"n":
            place = int(entry[:10])
            assert pdf[place:].startswith(b"%d 0 obj" % number)
            found[number] = pdf[place : pdf.index(b"endobj", place)]
    return found


def stream_of(body: bytes) -> bytes:
    """The unpacked content of a stream object; its stated length must be the true one."""
    length = int(re.search(rb"/Length (\d+)", body)[1])
    begin = body.index(b"stream\n") + 7
    assert body[begin + length :].strip() == b"endstream"
    return zlib.decompress(body[begin : begin + length])


def pages_of(pdf: bytes) -> list[SeenPage]:
    """All pages in order."""
    objects = objects_of(pdf)
    tree = next(body for body in objects.values() if b"/Type /Pages" in body)
    kids = [int(number) for number in re.findall(rb"(\d+) 0 R", re.search(rb"/Kids \[([^\]]*)\]", tree)[1])]
    assert int(re.search(rb"/Count (\d+)", tree)[1]) == len(kids)
    shown = re.search(rb"/XObject << ([^>]*)>>", tree)[1]
    forms = {name.decode(): objects[int(at)] for name, at in re.findall(rb"/(\w+) (\d+) 0 R", shown)}
    pages = []
    for kid in kids:
        box = [float(edge) for edge in re.search(rb"/MediaBox \[([^\]]*)\]", objects[kid])[1].split()]
        page = SeenPage((box[2] - box[0]) * MM_PER_POINT, (box[3] - box[1]) * MM_PER_POINT)
        content = stream_of(objects[int(re.search(rb"/Contents (\d+)", objects[kid])[1])])
        _run(content, (MM_PER_POINT, 0.0, 0.0, MM_PER_POINT, 0.0, 0.0), [], forms, page)
        pages.append(page)
    return pages


def _times(a: Matrix, b: Matrix) -> Matrix:
    """a, then b (ISO 32000-1, 8.3.4)."""
    return (
        a[0] * b[0] + a[1] * b[2], a[0] * b[1] + a[1] * b[3], a[2] * b[0] + a[3] * b[2], a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4], a[4] * b[1] + a[5] * b[3] + b[5],
    )


def _run(content: bytes, matrix: Matrix, windows: list, forms: dict[str, bytes], page: SeenPage) -> None:
    state = {"matrix": matrix, "pen": 1.0, "line": (0.0,), "fill": (0.0,), "dashed": False, "windows": list(windows)}
    kept: list[dict] = []
    operands: list[bytes] = []
    paths: list[list[tuple[float, float]]] = []

    def at(x: float, y: float) -> tuple[float, float]:
        a, b, c, d, e, f = state["matrix"]
        return a * x + c * y + e, b * x + d * y + f

    for token in _TOKEN.findall(content):
        if re.fullmatch(rb"[-+.\d]+|/.*|\[.*\]|<.*>", token, re.DOTALL):
            operands.append(token)
            continue
        name = token.decode()
        numbers = [float(one) for one in operands if re.fullmatch(rb"[-+.\d]+", one)]
        if name == "q":
            kept.append({**state, "windows": list(state["windows"])})
        elif name == "Q":
            state = kept.pop()
        elif name == "cm":
            state["matrix"] = _times(tuple(numbers), state["matrix"])
        elif name == "w":
            state["pen"] = numbers[0]
        elif name in ("RG", "rg"):
            state["line" if name == "RG" else "fill"] = tuple(numbers)
        elif name == "d":
            state["dashed"] = operands[0].strip(b"[] ") != b""
        elif name == "m":
            paths.append([at(*numbers)])
        elif name in ("l", "c"):
            paths[-1].append(at(*numbers[-2:]))
        elif name == "h":
            paths[-1].append(paths[-1][0])
        elif name == "re":
            x, y, width, height = numbers
            (left, bottom), (right, top) = at(x, y), at(x + width, y + height)
            paths.append([(left, bottom), (right, bottom), (right, top), (left, top), (left, bottom)])
        elif name == "W":
            state["windows"].append((*paths[-1][0], *paths[-1][2]))
        elif name in ("S", "f", "f*", "n"):
            if name != "n":
                colour = state["line" if name == "S" else "fill"]
                scale = (state["matrix"][0] ** 2 + state["matrix"][1] ** 2) ** 0.5
                page.drawn.append(
                    Drawn(name, colour, state["pen"] * scale, state["dashed"], paths, list(state["windows"]))
                )
            paths = []
        elif name == "Do":
            body = forms[operands[0][1:].decode()]
            _run(stream_of(body), state["matrix"], state["windows"], forms, page)
        elif name == "Tm":
            state["text"] = numbers
        elif name == "Tj":
            told = bytes.fromhex(operands[0].strip(b"<>").decode()).decode("cp1252")
            page.texts.append((told, *at(*state["text"][-2:])))
        else:
            assert name in ("J", "j", "BT", "ET", "Tf"), name
        operands = []
    assert not kept, "q without Q"
