"""Objects too far away to belong to any board."""

import numpy as np

from labelcheck.formats.gerber.bounds import FARTHEST_MM
from labelcheck.formats.gerber.remarking import RemarkBook
from labelcheck.trade.shapes import Shapes


def within_reach(shapes: Shapes, remarks: RemarkBook) -> Shapes:
    """Leave out what reaches too far, with a remark: strays would make every picture and raster of the board useless.

    An error where nothing else is drawn: then unit or format are wrong.
    """
    columns = (shapes.x0, shapes.y0, shapes.x1, shapes.y1, shapes.vx, shapes.vy)
    near_mm = FARTHEST_MM - shapes.width.max(initial=0.0) / 2
    if all(len(column) == 0 or np.abs(column).max() <= near_mm for column in columns):
        return shapes
    boxes = shapes.boxes()
    far = (np.abs(boxes) > FARTHEST_MM).any(axis=1) & np.isfinite(boxes).all(axis=1)
    if not far.any():
        return shapes
    line = int(shapes.line[far][0])
    distance = f"{FARTHEST_MM / 1000:g} m"
    if far.all():
        problem = f"everything is drawn farther than {distance} from the origin."
        raise remarks.unreadable(line, problem, "Check unit and format, and export the set again.")
    message = (
        f"An object reaches farther than {distance} from the origin; it was left out. Take it out in the layout, or "
        "export the file again."
    )
    remarks.note("far away", line, message, int(np.count_nonzero(far)), lost=True)
    return shapes.take(np.logical_not(far))
