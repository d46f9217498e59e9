"""Which step of a check takes which share of it: every second of the processor is counted to the innermost step."""

import time
from collections import Counter
from collections.abc import Callable
from importlib import import_module
from typing import Any

STEPS = (
    ("labelcheck.checking", "open_sets", "opening the set"),
    ("labelcheck.checking", "build_board", "putting the board together"),
    ("labelcheck.board.readings", "read_artwork", "reading artwork"),
    ("labelcheck.checking", "all_labels", "finding labels"),
    ("labelcheck.labels.finding", "read_lines", "reading characters"),
    ("labelcheck.labels.finding", "measure_lines", "measuring characters"),
    ("labelcheck.checking", "evidence_on", "ink against openings, holes, edge"),
    ("labelcheck.press.scene", "as_printed", "as printed"),
    ("labelcheck.press.scene", "clear_printed", "as printed"),
    ("labelcheck.press.scene", "hiding_on", "bodies"),
    ("labelcheck.press.scene", "as_assembled", "bodies"),
    ("labelcheck.press.scene", "shadows_on", "bodies"),
    ("labelcheck.checking", "cures_of", "working out changes"),
    ("labelcheck.checking", "check_set", "judging"),
    ("labelcheck.review.writing", "draw_sheet", "drawing pictures"),
    ("labelcheck.review.writing", "png_of", "packing pictures"),
    ("labelcheck.review.writing", "page_of", "the page"),
    ("labelcheck.review.writing", "record_text", "the record"),
    ("labelcheck.review.writing", "write_files", "writing to the disk"),
)
"""Module and name by which a step is called there, and what it is called in the table."""


class Shares:
    """Seconds of the processor by step, the steps within a step left out; mutable while a check runs."""

    def __init__(self) -> None:
        self.seconds: Counter[str] = Counter()
        self._within: list[str] = []
        self._since_s = 0.0

    def watch(self) -> None:
        """Count from now on; each step is called through a counter, on one core."""
        import_module("labelcheck.trade.together")._can_split = lambda: False
        for module_name, name, step in STEPS:
            module = import_module(module_name)
            setattr(module, name, self._counted(getattr(module, name), step))

    def _counted(self, work: Callable[..., Any], step: str) -> Callable[..., Any]:
        def counted(*arguments: Any, **named: Any) -> Any:
            self._turn()
            self._within.append(step)
            try:
                return work(*arguments, **named)
            finally:
                self._turn()
                self._within.pop()

        return counted

    def _turn(self) -> None:
        """What went by since the last turn belongs to the step that is at work."""
        now_s = time.process_time()
        if self._within:
            self.seconds[self._within[-1]] += now_s - self._since_s
        self._since_s = now_s
