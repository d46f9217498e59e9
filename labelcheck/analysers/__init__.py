"""One file a question; the list is found here, never typed twice."""

import importlib
import pkgutil

from labelcheck.judging import Analyser


def all_analysers() -> tuple[Analyser, ...]:
    """Every analyser of this folder, in order of name; a broken or incomplete one stops the program."""
    found = []
    for module in pkgutil.iter_modules(__path__):
        analyser = importlib.import_module(f"{__name__}.{module.name}").ANALYSER
        if not isinstance(analyser, Analyser):
            raise TypeError(f"analysers/{module.name}.py: ANALYSER is no Analyser.")
        if analyser.name != module.name.replace("_", "-"):
            raise ValueError(f"analysers/{module.name}.py: its analyser is named {analyser.name!r}.")
        if not analyser.question.endswith("?") or not analyser.rationale:
            raise ValueError(f"analysers/{module.name}.py: the question or the rationale is missing.")
        if (analyser.measure is None) == (analyser.measure_board is None):
            raise ValueError(f"analysers/{module.name}.py: it must be asked either of labels or of the board.")
        found.append(analyser)
    return tuple(sorted(found, key=lambda analyser: analyser.name))
