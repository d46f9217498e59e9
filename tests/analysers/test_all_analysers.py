"""Every analyser of the folder is found, complete, and asked."""

from pathlib import Path

import labelcheck.analysers as folder
from labelcheck.analysers import all_analysers


def test_each_file_is_one_analyser() -> None:
    files = {path.stem for path in Path(folder.__file__).parent.glob("*.py")} - {"__init__"}
    assert {analyser.name.replace("-", "_") for analyser in all_analysers()} == files


def test_each_analyser_is_complete() -> None:
    for analyser in all_analysers():
        assert analyser.question.endswith("?")
        assert len(analyser.rationale) > 40
        assert analyser.needs in (None, "openings", "holes", "outline", "bodies")


def test_each_analyser_has_a_test() -> None:
    tests = "".join(path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_*.py"))
    for analyser in all_analysers():
        assert f'"{analyser.name}"' in tests
