"""Is the label struck through? Shares of one character's ink, judgement of this project, no source."""

from dataclasses import replace

import pytest

from labelcheck.press.evidence import Crossing

BOX = (0.8, 0.0, 1.5, 1.3)


@pytest.mark.parametrize(("share", "severity"), [(0.05, None), (0.2, "doubtful"), (0.9, "unreadable")])
def test_the_share_of_foreign_ink_decides(judged, share, severity) -> None:
    finding = judged("crossing-ink", crossing=Crossing(share, (1,), None, BOX))
    assert (finding.severity if finding else None) == severity


def test_the_message_names_what_crosses(judged, label) -> None:
    other = replace(label, id="T2", text="D4")
    assert 'crossed by "D4" at "1"' in judged("crossing-ink", crossing=Crossing(0.9, (1,), other, BOX)).message
    assert "crossed by a drawn line" in judged("crossing-ink", crossing=Crossing(0.9, (1,), None, BOX)).message
