"""Labels at pins that the files call otherwise, while another pin of the same part is what the label says."""

from collections.abc import Sequence
from dataclasses import dataclass

from labelcheck.board.components import Component, Pin
from labelcheck.press.pin_rows import NamedPin, PinRow
from labelcheck.press.signal_names import contradicts, sign_of, spellings, words_of

SURE = 0.85
"""Text read less surely contradicts nothing."""


@dataclass(frozen=True, slots=True)
class Misplaced:
    """A label at a wrong pin: what its own pin is called, and the pins of its row that are what it says."""

    named: NamedPin
    own_name: str
    right: tuple[Pin, ...]


@dataclass(frozen=True, slots=True)
class Confusion:
    """The misplaced labels of one row of pins: one fault, however many labels it shows in."""

    component: Component
    misplaced: tuple[Misplaced, ...]
    shift: int | None
    """By how many pins all of them are off, the same way; None where they are not off alike."""
    pins: tuple[Pin, ...]
    """Of the row, from one end to the other."""

    def right_pins(self) -> tuple[Pin, ...]:
        """The pin at which each of the misplaced labels belongs, no pin twice where the names allow it.

        Of several of one name that nearest to where the label stands, and one where a misplaced label stands first.
        """
        place = {id(pin): at for at, pin in enumerate(self.pins)}
        if self.shift is not None:
            return tuple(self.pins[place[id(one.named.pin)] + self.shift] for one in self.misplaced)
        left = {id(one.named.pin) for one in self.misplaced}
        found: list[Pin] = []
        for one in self.misplaced:
            free = [pin for pin in one.right if pin not in found] or list(one.right)
            at = place[id(one.named.pin)]
            found.append(min(free, key=lambda pin: (id(pin) not in left, abs(place[id(pin)] - at))))
        return tuple(found)


def confusions(rows: Sequence[PinRow]) -> tuple[Confusion, ...]:
    """Rows in which labels contradict their pins.

    Only what cannot be a mere matter of naming is told: the label says the name of another pin of its row word for
    word, contradicts every name of its own, and no label that is right says the same. One such label alone counts
    only in a row that plainly names its pins.
    """
    found = []
    for row in rows:
        wrong = [one for named in row.named if (one := _misplaced(named, row)) is not None]
        right = {named.label.text for named in row.named if agrees(named.label.text, named.pin)}
        wrong = [one for one in wrong if one.named.label.text not in right]
        # A lone letter beside a part of two pins may well mean something else than its net.
        if len(wrong) > 1 or (wrong and right and len(row.pins) > 2):
            found.append(Confusion(row.component, tuple(wrong), _shift(wrong, row), row.pins))
    return tuple(found)


def names_of(pin: Pin) -> frozenset[str]:
    """Everything that the files call a pin, in plain spelling."""
    return frozenset(one for name in (pin.net, pin.function) if name is not None for one in spellings(name))


def _meant_by(pin: Pin) -> frozenset[str]:
    """All names of a pin that are right for it: those of the files, and the sign of its pole."""
    names = names_of(pin)
    return names | {sign for name in names if (sign := sign_of(name))}


def agrees(text: str | None, pin: Pin) -> bool:
    """Whether a text says what the files call a pin."""
    return text is not None and bool(words_of(text) & _meant_by(pin))


def contradicted(named: NamedPin) -> bool:
    """Whether a label surely says something else than every name that the files have for its pin."""
    text, own = named.label.text, names_of(named.pin)
    if text is None or named.label.text_confidence < SURE or not own:
        return False
    return not agrees(text, named.pin) and all(contradicts(word, name) for word in words_of(text) for name in own)


def _misplaced(named: NamedPin, row: PinRow) -> Misplaced | None:
    if not contradicted(named):
        return None
    said = words_of(str(named.label.text))
    right = tuple(pin for pin in row.pins if pin is not named.pin and said & _meant_by(pin))
    if not right:
        return None
    if any(pin.net == named.pin.net for pin in right):
        return None
    return Misplaced(named, named.pin.net or named.pin.function or "", right)


def _shift(wrong: Sequence[Misplaced], row: PinRow) -> int | None:
    """The one number of pins by which every misplaced label is off; None for one label alone, or for others."""
    place = {id(pin): at for at, pin in enumerate(row.pins)}
    ways = [{place[id(pin)] - place[id(one.named.pin)] for pin in one.right} for one in wrong]
    common = set.intersection(*ways)
    return min(common, key=abs) if common and len(wrong) > 1 else None
