"""A file imports only from its own folder or from a lower floor, at its top, and never from the package root."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "labelcheck"

FLOORS = {
    "trade": 0,
    "formats": 1,
    "raster": 1,
    "board": 2,
    "labels": 3,
    "press": 4,
    "judging": 5,
    "analysers": 6,
    "cures": 6,
    "review": 7,
    "checking": 8,
    "watching": 9,
    "commands": 10,
    "cli": 11,
    "__main__": 12,
}

FILES = sorted(path for path in PACKAGE.rglob("*.py") if path.parent != PACKAGE or path.name != "__init__.py")


def room_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported_rooms(tree: ast.AST) -> list[tuple[int, str]]:
    """Line and room of every import of our own package; the room is empty for the package root."""
    found = []
    for node in ast.walk(tree):
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"line {node.lineno}: a relative import"
            names = [node.module or ""]
            if node.module == "labelcheck":
                names = [f"labelcheck.{alias.name}" for alias in node.names]
        for name in names:
            if name.split(".")[0] == "labelcheck":
                found.append((node.lineno, name.partition(".")[2].partition(".")[0]))
    return found


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_file_imports_from_its_own_floor_or_below(path: Path) -> None:
    own = room_of(path)
    for line, room in imported_rooms(ast.parse(path.read_text(encoding="utf-8"))):
        if room == "__version__":
            continue
        assert room in FLOORS, f"{path.name}:{line} imports the package root or an unknown room {room!r}"
        assert room == own or FLOORS[room] < FLOORS[own], f"{path.name}:{line}: {own} imports {room}, which is above"


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_import_stands_inside_a_function(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for function in ast.walk(tree):
        if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef):
            for node in ast.walk(function):
                assert not isinstance(node, ast.Import | ast.ImportFrom), f"{path.name}:{node.lineno}"


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_only_the_command_line_prints(path: Path) -> None:
    if room_of(path) in ("commands", "cli", "__main__") or path.name == "training.py" or "training" in path.parts:
        return
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id != "print", f"{path.name}:{node.lineno} prints"
