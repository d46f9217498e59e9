"""What does a component stand on?"""

from labelcheck.judging import (
    Analyser,
    Measurement,
    Severity,
    characters_named,
    misread_severity,
    move,
    read_as_another,
)
from labelcheck.labels.label import Box, Label
from labelcheck.press.evidence import Evidence, Hiding, Misread
from labelcheck.trade.limits import Limits
from labelcheck.trade.units import format_length


def measure(evidence: Evidence, limits: Limits) -> Measurement | None:
    """Ink of the worst character under a body; what helps only whoever fits the part is no more than noted."""
    hiding, label = evidence.hiding, evidence.label
    if hiding is None or not hiding.loss.characters:
        return None
    limit = limits.hidden_ink
    wrong = misread_severity(_misread(evidence, surely=True), label)
    surely = not hiding.estimated and (
        wrong is not None or limit.doubtful is None or hiding.loss.sure > limit.doubtful + limit.tolerance
    )
    value = hiding.loss.sure if surely else hiding.loss.possible
    # An estimate, or a body larger than drawn, has to hide much to be worth a word.
    least = limit.doubtful if surely else limit.unreadable
    if wrong is None and least is not None and value <= least + limit.tolerance:
        return None
    return Measurement(
        value=value,
        limit=limits.hidden_ink,
        box_mm=hiding.loss.box_mm,
        said=_said(label, hiding, value, surely),
        asked=_asked(evidence, hiding, surely),
        advice=_advice(hiding, limits),
        at_worst=_at_worst(label, hiding, surely),
        at_least=wrong if surely and hiding.relation == "another" else None,
    )


def _misread(evidence: Evidence, surely: bool) -> tuple[Misread, ...]:
    """What is misread with the parts on, and would not be without the body that does most harm."""
    if evidence.assembled is None or evidence.hiding is None:
        return ()
    misread = evidence.assembled.misread_surely if surely else evidence.assembled.misread
    hidden = set(evidence.hiding.loss.characters)
    return tuple(one for one in misread if one.counts and not hidden.isdisjoint(one.marks))


def _at_worst(label: Label, hiding: Hiding, surely: bool) -> Severity:
    if hiding.relation != "another":
        return Severity.NOTE
    # An unread label may be a part of a drawing; an estimate, or the allowance alone, proves nothing.
    return Severity.UNREADABLE if surely and label.text is not None else Severity.DOUBTFUL


def _said(label: Label, hiding: Hiding, value: float, surely: bool) -> str:
    """`lies under the body of U3, which hides 80 % of "R"`."""
    own = "its own part" if hiding.relation == "own" else hiding.reference or "a part"
    if len(hiding.loss.characters) == len(label.marks) and value > 0.9 and _covers(hiding.loss.box_mm, label.box_mm):
        share = "hides all of it"
    else:
        several = "up to " if len(hiding.loss.characters) > 1 else ""
        share = f"hides {several}{value * 100:.0f} % of {characters_named(label, hiding.loss.characters)}"
    verb = share if surely else share.replace("hides", "may hide", 1)
    larger = "" if surely or hiding.estimated else ", if it is a little larger"
    return f"lies under the body of {own}, which {verb} ({hiding.basis}{larger})"


def _covers(hidden: Box, whole: Box) -> bool:
    """Whether what is hidden reaches over the whole label, but for a twentieth of it."""
    spare_x, spare_y = (whole[2] - whole[0]) / 20, (whole[3] - whole[1]) / 20
    return (
        hidden[0] <= whole[0] + spare_x and hidden[2] >= whole[2] - spare_x
        and hidden[1] <= whole[1] + spare_y and hidden[3] >= whole[3] - spare_y
    )


def _asked(evidence: Evidence, hiding: Hiding, surely: bool) -> str:
    label = evidence.label
    another = read_as_another(label, _misread(evidence, surely))
    if another is not None and hiding.relation == "another":
        mounted = f"once {hiding.reference or 'that part'} is mounted"
        said = f'{mounted}, it {"reads" if surely else "may read"} "{another}"'
        return said.replace("{", "{{").replace("}", "}}")
    match hiding.relation:
        case "own":
            return "it can be read before assembly only"
        case "aid":
            return "it helps whoever fits the part, and nobody after"
        case "covering":
            return "it can be read only while that part, which stands over others, is off"
        case _:
            whose = "a reference" if label.kind == "reference" else "what it says"
            return f"{whose} is needed once the parts are on"


def _advice(hiding: Hiding, limits: Limits) -> str | None:
    if hiding.relation != "another":
        return None
    allowance = format_length(limits.body_allowance.value_mm)
    if hiding.estimated:
        return f"{move(hiding.loss)}, or state the largest body of the part in the limits file if it is smaller."
    return f"{move(hiding.loss)}, so that it clears the body by {allowance}."


ANALYSER = Analyser(
    name="under-body",
    question=__doc__,
    rationale=(
        "A label that tells how to wire, set or use the board must be seen with the parts on; labels should not be "
        "covered by what they are about (MIL-STD-1472E 5.5.2). Parts come larger than drawn."
    ),
    measure=measure,
    notes_together=(
        "lie under the bodies of the parts that they are about; they can be read before assembly only"
    ),
    needs="bodies",
)
