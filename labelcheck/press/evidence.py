"""What is known of one label beside its own measures: the ink it loses, and the ink that crosses it."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from labelcheck.labels.label import Box, Label


@dataclass(frozen=True, slots=True)
class Loss:
    """Ink of one label that one kind of obstacle takes away; fractions of the ink as drawn."""

    sure: float
    """Of the character that loses most: what the obstacle itself takes."""
    possible: float
    """Of the character that loses most: with the clearance that fabricators ask for added."""
    characters: tuple[int, ...]
    """Places in the label's marks, from 0, that lose a share worth telling."""
    box_mm: Box
    """Of the lost ink."""
    move_mm: float
    """How far the label must move, at the least, to bring all of it past the lost ink the shortest way."""
    towards: str
    """Which way that is, as a person sees it on the label's side: up, down, left or right."""


@dataclass(frozen=True, slots=True)
class Crossing:
    """Foreign ink that runs through a label."""

    fraction: float
    """Foreign ink within the box of the worst character, as a fraction of that character's own ink."""
    characters: tuple[int, ...]
    by_label: Label | None
    """The other label, or None where a drawing crosses."""
    box_mm: Box


SURELY_ANOTHER = 0.6
"""Where the reader gives so much to another character, that is what people will read (judgement)."""
MUCH_LEFT, MOST_LEFT = 0.75, 0.85
"""A character that cannot be read back and keeps less than the first is lost; one that keeps more than the second is
a quirk of the reader's: set with the prints of real boards, and the benchmark of read-back, in view."""

NOTHING_LEFT = 0.03
"""Of a character that keeps less, nothing is seen (judgement)."""


@dataclass(frozen=True, slots=True)
class Hiding:
    """The body that does most harm to one label; without characters in its loss where none does any."""

    loss: Loss
    """What the body hides, surely and at its largest; the way out leads past the body."""
    reference: str | None
    """Of the part."""
    basis: str
    """What the outline rests on, for a sentence."""
    estimated: bool
    relation: Literal["another", "covering", "aid", "own"]
    """How the label belongs to the part: see `press/whose.py`."""


@dataclass(frozen=True, slots=True)
class Shadow:
    """What tall parts keep from an eye that looks at a label aslant; shares of the label's box."""

    front: float
    """Seen from below, as the label reads."""
    back: float
    """Seen from above."""
    front_part: str
    """The parts that stand in the way."""
    back_part: str


@dataclass(frozen=True, slots=True)
class Misread:
    """A character that reads as drawn and does not read so once printed."""

    place: int
    """In the text without its blanks, from 0."""
    marks: tuple[int, ...]
    """Places in the label's marks, from 0."""
    drawn: str
    printed: str | None
    """What it reads as once printed; None where it reads as nothing."""
    share: float
    """What the reader's network gives to that character, 0 to 1; to the drawn one where it reads as nothing."""
    left: float
    """Share of its ink as drawn that is left."""

    @property
    def sure(self) -> bool:
        """Whether a person would surely fail too: it looks like another character, or much of it is gone."""
        return self.left < MUCH_LEFT or (self.printed is not None and self.share >= SURELY_ANOTHER)

    @property
    def gone(self) -> bool:
        """Whether there is nothing left to see."""
        return self.printed is None and self.left < NOTHING_LEFT

    @property
    def counts(self) -> bool:
        """Whether it is worth telling: sure, or enough of it is gone for more than a quirk of the reader's."""
        return self.sure or self.left < MOST_LEFT


def text_left(text: str, misread: Iterable[Misread]) -> str:
    """What a text reads as where some of its characters do not read as drawn; later words about one win.

    `?` stands for a character that is not read. At either end one of which nothing is left is not missed by anybody:
    what is left reads as a shorter text.
    """
    characters = list(text)
    places = [at for at, character in enumerate(text) if character != " "]
    gone = set()
    for one in misread:
        characters[places[one.place]] = one.printed or "?"
        if one.gone:
            gone.add(one.place)
    seen = [place for place in range(len(places)) if place not in gone]
    return "".join(characters[places[seen[0]] : places[seen[-1]] + 1]) if seen else ""


@dataclass(frozen=True, slots=True)
class Printed:
    """What the process leaves of one label; fractions of its ink as drawn."""

    left: float
    least_left: float
    """Of the character that loses most."""
    broken: tuple[int, ...] = ()
    """Places in the label's marks that fall into more pieces than drawn, or are gone."""
    closed: tuple[int, ...] = ()
    """Places in the label's marks of which a clear space closes: a counter fills, or a mouth shuts."""
    joined: tuple[int, ...] = ()
    """Places in the label's marks that run into the next one."""
    misread: tuple[Misread, ...] = ()
    """Without any error of registration."""
    shift_mm: tuple[float, float] | None = None
    """How the legend lies in the worst case of registration, None where no shift is worse than none."""
    left_when_shifted: float = 1.0
    least_left_when_shifted: float = 1.0
    misread_when_shifted: tuple[Misread, ...] = ()
    read: bool = False
    """Whether it was read back without any error of registration, so that what is not misread reads as drawn."""

    def worst_misread(self) -> tuple[Misread, ...]:
        """The characters misread with or without a shift, whichever are more."""
        shifted = self.misread_when_shifted
        return shifted if len(shifted) > len(self.misread) else self.misread

    def reads_as(self, text: str | None) -> str | None:
        """What a text reads as in the worst case, see `text_left`, empty where no ink is left.

        None where the text is not known.
        """
        if text is None:
            return None
        if min(self.left, self.left_when_shifted) <= 0.0:
            return ""
        return text_left(text, self.worst_misread())


WHOLE = Printed(left=1.0, least_left=1.0)
"""A label that printing leaves as it is."""


@dataclass(frozen=True, slots=True)
class Assembled:
    """What is to be seen of one label as printed once the parts are on."""

    seen: float = 1.0
    """Share of its ink beside bodies at their largest."""
    misread: tuple[Misread, ...] = ()
    """With bodies at their largest, estimates included."""
    misread_surely: tuple[Misread, ...] = ()
    """With bodies as the files tell them, estimates left out."""

    def reads_as(self, text: str | None, printed: Printed) -> str | None:
        """What a text reads as in the worst case, as `Printed.reads_as`, empty where nothing of it is seen."""
        if text is None:
            return None
        if self.seen <= 0.0 or printed.reads_as(text) == "":
            return ""
        return text_left(text, (*printed.worst_misread(), *self.misread))


@dataclass(frozen=True, slots=True)
class Evidence:
    """One label with all that was found out about its place; None means not applicable, never none found."""

    label: Label
    opening: Loss | None
    hole: Loss | None
    covered_hole: Loss | None
    """Holes small enough that mask covers them; ink breaks up over them."""
    outline: Loss | None
    far_off_board: bool
    """Whether all of it lies so far outside that it was hardly meant to be on the board."""
    crossing: Crossing | None
    printed_fraction: float
    namesake: Label | None = None
    """The label before this one that carries the same reference, where each names a part of its own."""
    printed: Printed = WHOLE
    """What is left of it as printed, and what that reads as."""
    on_copper: float | None = None
    """Share of its ink that lies on copper; None where copper is not heavy, or not known."""
    third_direction: bool = False
    """Whether it is read from a direction that is neither of the two main ones of its side."""
    hiding: Hiding | None = None
    """What stands on it; None where no bodies are known on its side."""
    assembled: Assembled | None = None
    """What is seen of it with the parts on; None where no bodies are known on its side."""
    hidden_fraction: float = 0.0
    """Of its ink as drawn, under bodies at their largest."""
    shadow: Shadow | None = None
    """None where no tall part stands in the way."""
