"""The package as it is installed: importing it prints and writes nothing, and no file of it is left behind."""

import subprocess
import sys
import tomllib
from fnmatch import fnmatch
from pathlib import Path

import labelcheck

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = Path(labelcheck.__file__).parent

WATCHED = """
import sys, importlib, pkgutil
seen = []
def hook(event, args):
    if event.split('.')[0] in ('socket', 'subprocess') or event in ('os.fork', 'os.system', 'os.mkdir'):
        seen.append(event)
    if event == 'open' and isinstance(args[0], str):
        mode, flags = args[1] or '', args[2] or 0
        if 'w' in mode or 'a' in mode or '+' in mode or flags & 3:
            seen.append('writing ' + args[0])
        elif 'labelcheck' in args[0] and not args[0].endswith(('.py', '.pyc')) and ROOT_ONLY:
            seen.append('reading ' + args[0])
sys.dont_write_bytecode = True
sys.addaudithook(hook)
ROOT_ONLY = True
import labelcheck
ROOT_ONLY = False
for module in pkgutil.walk_packages(labelcheck.__path__, 'labelcheck.'):
    if not module.name.endswith('__main__'):
        importlib.import_module(module.name)
assert not seen, seen
"""


def test_importing_every_module_prints_and_writes_nothing() -> None:
    done = subprocess.run([sys.executable, "-W", "error", "-c", WATCHED], capture_output=True, text=True, cwd=ROOT)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_every_file_that_is_no_module_is_packed() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text())
    patterns = settings["tool"]["setuptools"]["package-data"]["labelcheck"]
    files = [
        path.relative_to(PACKAGE).as_posix()
        for path in PACKAGE.rglob("*")
        if path.is_file() and path.suffix not in (".py", ".pyc") and "__pycache__" not in path.parts
    ]
    assert any(name.endswith(".npz") for name in files)
    endings = [pattern.replace("**/", "*") for pattern in patterns]
    assert [name for name in files if not any(fnmatch(name, ending) for ending in endings)] == []
