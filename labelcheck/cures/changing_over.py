"""Two references that each stand at the other's part: both are cured at once, by changing them over."""

from collections.abc import Iterable, Sequence

import numpy as np

from labelcheck.board.components import Component
from labelcheck.cures.cure import Cure
from labelcheck.cures.placing import Ask, Change, Place, Scene, stays
from labelcheck.cures.searching import around
from labelcheck.cures.shapes_of_labels import boxes_of
from labelcheck.cures.sizing import AS_IT_IS
from labelcheck.labels.label import Label
from labelcheck.press.whose import distances, mistaken_references
from labelcheck.trade.sides import Side

ELSEWHERE_MM = 1e6
LEAST_APART_MM = 0.2
"""Nearer together they would be read as one word (judgement)."""


def exchanged(components: Sequence[Component], labels: Sequence[Label], side: Side) -> dict[str, Label]:
    """By the id of a label that one with which it has to be changed over."""
    mistaken = mistaken_references(components, labels, side)
    return {
        one.label.id: two.label for one in mistaken for two in mistaken
        if two.own is one.other and two.other is one.own
    }


def changed_over(one: Label, other: Label, ask: Ask, scene: Scene) -> list[Cure]:
    """The cures of both, each about the middle where the other stood; none where one meets something there."""
    pair = (one, other)
    middles = [(np.array(label.box_mm[:2]) + np.array(label.box_mm[2:])) / 2 for label in pair]
    ways = [np.round(middles[1] - middles[0], 2), np.round(middles[0] - middles[1], 2)]
    places = [
        Place(Change(AS_IT_IS, 0, boxes_of(label)), (float(way[0]), float(way[1])), float(np.hypot(*way)))
        for label, way in zip(pair, ways, strict=True)
    ]
    # How near they may stand to one another is left as it is: only what else is there counts.
    _put(pair, [place.boxes + ELSEWHERE_MM for place in places], scene)
    free = all(
        stays(label, Change(AS_IT_IS, 0, place.boxes), ask, scene) for label, place in zip(pair, places, strict=True)
    )
    _put(pair, [place.boxes if free else boxes_of(label) for label, place in zip(pair, places, strict=True)], scene)
    if not free or distances(places[0].boxes, places[1].boxes).min() < LEAST_APART_MM:
        return []
    return [
        Cure(label.id, shift_mm=place.shift_mm, box_mm=around(place.boxes), over_with=partner.id)
        for label, partner, place in zip(pair, reversed(pair), places, strict=True)
    ]


def _put(pair: Iterable[Label], boxes: Sequence[np.ndarray], scene: Scene) -> None:
    for label, own in zip(pair, boxes, strict=True):
        scene.standing.put(label, own, 0)
