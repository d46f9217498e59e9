"""The component layers of a board: each part's middle, body and pins, as the layer format lays them out (6.9)."""

from boards.design import SIDES, Design, Drawn, Flash, Line, Part, Side

MIDDLE_MM, BODY_PEN_MM, FIRST_PIN_MM, PIN_MM = 0.3, 0.1, 0.36, 0.1


def component_layers(design: Design) -> dict[Side, list[Drawn]]:
    """The objects of each side's component layer; a side without parts has none."""
    layers: dict[Side, list[Drawn]] = {}
    for side in SIDES:
        parts = [part for part in design.parts if part.side == side]
        if parts:
            layers[side] = [drawn for part in parts for drawn in _part(design, part)]
    return layers


def _part(design: Design, part: Part) -> list[Drawn]:
    """Middle with the part's properties, outline of the largest body, pins."""
    name = part.reference
    properties = (
        (".CRot", f"{part.turned_deg:g}"), (".CMnt", "TH" if part.through_hole else "SMD"), (".CVal", part.value),
        (".CFtp", part.package), (".CHgt", f"{part.height_mm:g}"),
    )
    x0, y0, x1, y1 = part.body
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0))
    drawn: list[Drawn] = [
        Flash(part.x, part.y, "circle", MIDDLE_MM, MIDDLE_MM, function="ComponentMain", component=name,
              properties=tuple((key, value) for key, value in properties if value)),
        Line(corners, BODY_PEN_MM, name, function="ComponentOutline,Body"),
    ]
    for pad in design.pads:
        if pad.component == name:
            size = FIRST_PIN_MM if pad.pin == "1" else PIN_MM
            pin = Flash(pad.x, pad.y, "circle", size, size, function="ComponentPin", component=name, pin=pad.pin)
            drawn.append(pin)
    return drawn
