"""The version stands in two places that must agree."""

import tomllib
from pathlib import Path

import labelcheck
from labelcheck.trade.version import MADE_BY, VERSION


def test_the_package_is_of_the_version_it_says() -> None:
    project = tomllib.loads(Path(__file__).resolve().parents[2].joinpath("pyproject.toml").read_text("utf-8"))
    assert project["project"]["version"] == VERSION == labelcheck.__version__
    assert f"labelcheck {VERSION}" == MADE_BY
