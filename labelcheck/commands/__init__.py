"""One command a file; the list is found here, never typed twice."""

import argparse
import importlib
import pkgutil


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]", asked: str) -> None:
    """Add the command asked for, or, where there is none of that name, every command of this folder.

    A check runs on every save: it must not wait for what the other commands import.
    """
    names = sorted(module.name for module in pkgutil.iter_modules(__path__))
    for name in [asked] if asked in names else names:
        importlib.import_module(f"{__name__}.{name}").add_parser(commands)
