"""Writes what goes with the layers: the job file, the IPC-D-356 netlist, the placement list."""

import csv
import io
import json
from collections.abc import Sequence

from boards.design import Design, Pad, Part

Entry = tuple[str, str, str]
"""Name, file function and polarity of one file of the set."""


def write_job(design: Design, size_mm: tuple[float, float], files: Sequence[Entry], colours: tuple[str, str],
              finish: str) -> bytes:
    """The job file as the Gerber job format lays it out; colours are those of mask and legend."""
    mask, legend = colours
    number = int.from_bytes(design.name.encode()[:6].ljust(6, b"-"), "big")
    job = {
        "Header": {
            "GenerationSoftware": {"Vendor": "Sheepcote Halt", "Application": "boards", "Version": "1"},
            "CreationDate": "2026-01-17T10:00:00+00:00",
        },
        "GeneralSpecs": {
            "ProjectId": {"Name": design.name, "GUID": f"5b0a4d10-0000-4000-8000-{number:012x}",
                          "Revision": design.revision},
            "Size": {"X": round(size_mm[0], 3), "Y": round(size_mm[1], 3)},
            "LayerNumber": 2,
            "BoardThickness": 1.6,
            "Finish": finish,
        },
        "FilesAttributes": [
            {"Path": name, "FileFunction": function, "FilePolarity": polarity} for name, function, polarity in files
        ],
        "MaterialStackup": [
            {"Type": "Legend", "Color": legend, "Name": "Top legend"},
            {"Type": "SolderPaste", "Name": "Top paste"},
            {"Type": "SolderMask", "Color": mask, "Thickness": 0.02, "Name": "Top mask"},
            {"Type": "Copper", "Thickness": design.copper_mm, "Name": "Top copper"},
            {"Type": "Dielectric", "Thickness": 1.49, "Material": "FR4", "Name": "Core"},
            {"Type": "Copper", "Thickness": design.copper_mm, "Name": "Bottom copper"},
            {"Type": "SolderMask", "Color": mask, "Thickness": 0.02, "Name": "Bottom mask"},
            {"Type": "Legend", "Color": legend, "Name": "Bottom legend"},
        ],
    }
    return (json.dumps(job, indent=1, ensure_ascii=False) + "\n").encode("utf-8")


def write_netlist(pads: Sequence[Pad], unit: str = "mm") -> bytes:
    """IPC-D-356: a record a pin; UNITS CUST 1 is 0.001 mm, CUST 0 is 0.0001 inch."""
    step = 0.001 if unit == "mm" else 0.00254
    lines = ["C  Netlist of an invented board", "P  CODE 00", f"P  UNITS CUST {1 if unit == 'mm' else 0}",
             "P  arrayDim   N"]
    lines += [_record(pad, step) for pad in pads]
    lines.append("999")
    return ("\n".join(lines) + "\n").encode("ascii")


def _record(pad: Pad, step: float) -> str:
    """Columns as in the standard: 1-3 kind, 4-17 net, 21-26 part, 28-31 pin, 33-38 drill, 39-41 side, 42-73 place."""
    steps = {name: round(value / step) for name, value in
             (("x", pad.x), ("y", pad.y), ("w", pad.width_mm), ("h", pad.height_mm))}
    kind = "327" if pad.drill_mm is None else "317"
    part = pad.component or "VIA"
    pin = f"-{pad.pin:<4}" if pad.component else "     "
    drill = " " * 6 if pad.drill_mm is None else f"D{round(pad.drill_mm / step):04d}P"
    access = {None: "A00", "top": "A01", "bottom": "A02"}[pad.side]
    middle = " " if pad.component else "M"
    size = f"X{steps['w']:04d}Y{0 if pad.width_mm == pad.height_mm and pad.drill_mm else steps['h']:04d}R000"
    covered = "S3" if pad.masked else "S0"
    return (f"{kind}{pad.net[:14]:<14}   {part[:6]:<6}{pin}{middle}{drill}{access}"
            f"X{steps['x']:+07d}Y{steps['y']:+07d}{size}{covered}")


def write_placement(parts: Sequence[Part]) -> bytes:
    """A comma-separated list, a part a line, sorted by reference."""
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(["Designator", "Value", "Package", "Mid X (mm)", "Mid Y (mm)", "Rotation", "Layer"])
    for part in sorted(parts, key=lambda part: (part.reference.rstrip("0123456789"), _number(part.reference))):
        rows.writerow([part.reference, part.value, part.package, f"{part.x:.3f}", f"{part.y:.3f}",
                       f"{part.turned_deg:g}", part.side])
    return text.getvalue().encode("utf-8")


def _number(reference: str) -> int:
    return int(reference[len(reference.rstrip("0123456789")) :] or 0)
