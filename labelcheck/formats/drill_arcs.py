"""Arcs that a drill program routes, as points along them."""

import math

ARC_SAGITTA_MM = 0.005
"""How far the chords of a routed arc may stay inside it."""

Point = tuple[float, float]


def centre_by_radius(start: Point, end: Point, radius: float, clockwise: bool) -> Point | None:
    """Centre of the arc of at most half a turn, which is what a radius alone can say."""
    chord_x, chord_y = end[0] - start[0], end[1] - start[1]
    chord = math.hypot(chord_x, chord_y)
    radius = abs(radius)
    if chord == 0 or radius == 0 or chord > 2 * radius * 1.01:
        return None
    height = math.sqrt(max(radius**2 - (chord / 2) ** 2, 0.0))
    sign = 1.0 if clockwise else -1.0
    middle_x, middle_y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    return middle_x + sign * chord_y / chord * height, middle_y - sign * chord_x / chord * height


def along_arc(start: Point, end: Point, centre: Point, clockwise: bool) -> list[Point]:
    """Points from behind `start` to `end`; a full turn where both coincide."""
    radius = math.hypot(start[0] - centre[0], start[1] - centre[1])
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    last = math.atan2(end[1] - centre[1], end[0] - centre[0])
    turn = (first - last if clockwise else last - first) % math.tau
    if math.dist(start, end) < 1e-9:
        turn = math.tau
    if radius < ARC_SAGITTA_MM:
        return [end]
    step = 2 * math.acos(1 - ARC_SAGITTA_MM / radius)
    pieces = max(2, min(10_000, math.ceil(turn / step)))
    sign = -1.0 if clockwise else 1.0
    inner = [
        (
            centre[0] + radius * math.cos(first + sign * turn * k / pieces),
            centre[1] + radius * math.sin(first + sign * turn * k / pieces),
        )
        for k in range(1, pieces)
    ]
    return [*inner, end]
