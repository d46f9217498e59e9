"""A legend taken apart into marks, in every way that may bring characters to light."""

from dataclasses import dataclass

import numpy as np

from labelcheck.board.board import Layer
from labelcheck.labels.crowding import refuse_crowd
from labelcheck.labels.ink import Ink, without_duplicates
from labelcheck.labels.marks import WHOLE_VIEW, Contacts, Marks, find_contacts, find_marks
from labelcheck.labels.overlaid import OVERLAID_VIEW, contours_within
from labelcheck.labels.struck import STRUCK_VIEW, struck_within
from labelcheck.labels.within import holes_within, with_strokes_within
from labelcheck.trade.shapes import Flags


@dataclass(frozen=True, slots=True, eq=False)
class Apart:
    """The ink of a legend, what touches what in it, and its marks, whole and as possible characters within them."""

    ink: Ink
    contacts: Contacts
    marks: Marks

    def made_of(self, rows: Flags) -> Flags:
        """Which marks (m,) are made of the chosen rows of the legend (n,) and of nothing else."""
        objects = rows[self.ink.row[self.marks.member]]
        return np.logical_and.reduceat(objects, self.marks.first[:-1]) if len(self.marks) else objects


def take_apart(legend: Layer) -> Apart:
    """Take the drawn objects of a legend apart; raises `UnreadableFile` where they are far too many."""
    ink = without_duplicates(legend.shapes)
    refuse_crowd(legend.files[0], ink.shapes)
    contacts = find_contacts(ink.shapes)
    whole = find_marks(ink.shapes, contacts)
    marks = with_strokes_within(ink.shapes, whole, contacts)
    marks = marks.with_parts(struck_within(ink.shapes, whole, contacts), STRUCK_VIEW)
    marks = marks.with_parts(contours_within(ink.shapes, whole), OVERLAID_VIEW)
    ink, holes = holes_within(ink, whole)
    return Apart(ink, contacts, marks.with_parts(holes, WHOLE_VIEW))
