"""`labelcheck compare` on sets, reviews and records: what it prints, writes, and how it ends."""

from pathlib import Path

import pytest
from PIL import Image

from labelcheck.cli import main
from tests.sets_made import a_set, artwork, flashes, word, write

REAL = Path(__file__).resolve().parents[3] / "shared" / "real-boards"


def legend(height: float, x: float = 5.0, y: float = 10.0, text: str = "R72") -> str:
    return artwork("Legend,Top", 0.15, word(x, y, height, text))


def moved_set(x: float, y: float, height: float) -> dict[str, str]:
    """The made-up set with another origin, on every layer."""
    files = a_set(legend(height, 5 + x, 10 + y))
    edges = [(0, 0, 30, 0), (30, 0, 30, 20), (30, 20, 0, 20), (0, 20, 0, 0)]
    files["crossing-profile.gbr"] = artwork(
        "Profile,NP", 0.1, [(a + x, b + y, c + x, d + y) for a, b, c, d in edges]
    )
    files["crossing-mask-top.gbr"] = flashes("Soldermask,Top", 1.6, [(20 + x, 10 + y)])
    files["crossing-copper-top.gbr"] = flashes("Copper,L1,Top", 1.4, [(20 + x, 10 + y)])
    files["crossing-plated.xnc"] = f"M48\nMETRIC\nT1C0.8\n%\nT1\nX{20 + x}Y{10 + y}\nM30\n"
    return files


def test_a_label_that_shrank_is_worse_and_the_other_way_round_is_not(tmp_path, capsys) -> None:
    old, new = write(tmp_path / "rev-a", a_set(legend(1.5))), write(tmp_path / "rev-b", a_set(legend(0.5)))
    assert main(["compare", str(old), str(new)]) == 1
    out = capsys.readouterr().out
    assert out.startswith("WORSE: ")
    assert "character height of 0.65 mm instead of 1.65 mm" in " ".join(out.split())
    with Image.open(tmp_path / "rev-b.comparison" / "comparison.png") as picture:
        assert picture.format == "PNG"
    assert main(["compare", str(new), str(old), "--quiet", "--out", str(tmp_path / "there")]) == 0
    assert capsys.readouterr().out.startswith("rev-b -> rev-a: BETTER: ")
    assert (tmp_path / "there" / "comparison.png").exists()
    assert len(list(old.iterdir())) == len(list(new.iterdir())) == 5  # nothing is written into a set


def test_another_origin_is_no_change(tmp_path, capsys) -> None:
    old = write(tmp_path / "rev-a", a_set(legend(1.5)))
    new = write(tmp_path / "rev-b", moved_set(100.0, -37.5, 1.5))
    assert main(["compare", str(old), str(new)]) == 0
    out = capsys.readouterr().out
    assert out.startswith("SAME")
    assert "lies +100.00, -37.50 mm from where it lay" in out


def test_a_review_of_before_with_a_set_of_now(tmp_path, capsys) -> None:
    old, new = write(tmp_path / "rev-a", a_set(legend(1.5))), write(tmp_path / "rev-b", a_set(legend(1.5, x=8)))
    assert main(["check", "--quiet", str(old)]) == 0
    capsys.readouterr()
    for earlier in (tmp_path / "rev-a.review", tmp_path / "rev-a.review" / "record.json"):
        assert main(["compare", str(earlier), str(new)]) == 0
        assert '"R72" on the top moved 3.00 mm right.' in capsys.readouterr().out
    assert not (tmp_path / "rev-b.comparison").exists()


def test_any_name_of_a_record_will_do(tmp_path, capsys) -> None:
    place = write(tmp_path / "rev-a", a_set())
    assert main(["check", "--quiet", str(place), "--record", str(tmp_path / "march.json")]) == 0
    assert main(["compare", "--quiet", str(tmp_path / "march.json"), str(tmp_path / "march.json")]) == 0
    assert "SAME" in capsys.readouterr().out


@pytest.mark.parametrize("content", ["", "{", "[]", '{"record": "labelcheck/9"}', '{"record": "labelcheck/1"}', "\0"])
def test_a_broken_record_is_an_error_with_its_place(tmp_path, capsys, content) -> None:
    place = write(tmp_path / "rev-a", a_set())
    broken = write(tmp_path / "old", {"record.json": content})
    assert main(["compare", str(broken / "record.json"), str(place)]) == 3
    assert "record.json" in capsys.readouterr().err


def test_sets_that_are_not_there_or_cannot_be_paired(tmp_path, capsys) -> None:
    place = write(tmp_path / "rev-a", a_set())
    assert main(["compare", str(place), str(tmp_path / "gone")]) == 3
    assert "gone" in capsys.readouterr().err
    assert main(["compare", str(place)]) == 2


def test_the_limits_are_told_where_they_differ(tmp_path, capsys) -> None:
    place = write(tmp_path / "rev-a", a_set(legend(1.5)))
    main(["check", "--quiet", str(place), "--reading-distance", "600", "--out", str(tmp_path / "far")])
    capsys.readouterr()
    main(["compare", str(tmp_path / "far"), str(place)])
    assert "Limits that differ" in capsys.readouterr().out


@pytest.mark.parametrize(("old", "new"), [("fpga-stick-evt2", "fpga-stick-evt3"), ("nixie-rev1", "nixie-rev2")])
def test_real_revisions(tmp_path, capsys, old, new) -> None:
    if not (REAL / old).is_dir():
        pytest.skip("the real sets do not lie beside the project")
    assert main(["compare", str(REAL / old), str(REAL / new), "--out", str(tmp_path)]) in (0, 1)
    out = capsys.readouterr().out
    # Most of both boards did not change, and must not be told as if it had.
    assert "findings as before" in out
