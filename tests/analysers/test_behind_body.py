"""Labels between tall parts: the bound from both sides, the sentence, the advice."""

import pytest

from labelcheck.judging import Severity
from labelcheck.press.evidence import Shadow
from tests.analysers.conftest import Judged


@pytest.mark.parametrize(("front", "back", "told"), [(0.9, 0.53, True), (0.9, 0.51, False), (1.0, 0.0, False)])
def test_what_is_hidden_from_both_sides_is_in_doubt(judged: Judged, front: float, back: float, told: bool) -> None:
    finding = judged("behind-body", shadow=Shadow(front, back, "K1", "J2"))
    assert (finding is not None) == told
    assert finding is None or finding.severity is Severity.DOUBTFUL


def test_the_sentence_and_the_advice(judged: Judged) -> None:
    finding = judged("behind-body", shadow=Shadow(0.9, 0.8, "K1", "J2"))
    assert finding is not None
    assert finding.message == (
        '"R12" stands between K1 and J2, which hide 80 % of it from an eye 30° off the normal; it can be read from '
        "straight above only."
    )
    assert finding.advice == "Move it out from between the tall parts."


def test_silent_where_no_tall_part_stands_near(judged: Judged) -> None:
    assert judged("behind-body") is None
