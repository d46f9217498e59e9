"""The record keeps its contract: valid against the schema that is shipped, stable, in whole micrometres."""

import json
from dataclasses import fields, replace
from importlib import resources

import jsonschema
import pytest

import labelcheck.review
from labelcheck.judging import Finding
from labelcheck.review.contents import Review
from labelcheck.review.record import record_of, record_text
from labelcheck.trade.places import Remark


@pytest.fixture
def schema() -> dict:
    """The schema as the package ships it."""
    return json.loads(resources.files(labelcheck.review).joinpath("record.schema.json").read_text("utf-8"))


@pytest.fixture
def validator(schema: dict) -> jsonschema.Draft202012Validator:
    """Judges by JSON Schema draft 2020-12, through the reference implementation for Python."""
    return jsonschema.Draft202012Validator(schema)


def test_the_schema_itself_is_valid(schema: dict) -> None:
    jsonschema.Draft202012Validator.check_schema(schema)


def test_a_record_is_valid(review: Review, validator: jsonschema.Draft202012Validator) -> None:
    validator.validate(json.loads(record_text(review)))


def test_a_record_of_nothing_known_is_valid(review: Review, validator: jsonschema.Draft202012Validator) -> None:
    bare = replace(review, box_mm=None, outline_known_by=None, labels=(), findings=(), files=(), limits=())
    record = json.loads(record_text(bare))
    validator.validate(record)
    assert record["board"] == {"width_mm": None, "height_mm": None, "box_mm": None, "outline_known_by": None}


@pytest.mark.parametrize(("path", "wrong"), [
    (("verdict",), "maybe"), (("labels", 0, "turned_deg"), 360), (("labels", 0, "text_confidence"), 1.5),
    (("findings", 0, "severity"), "awful"), (("findings", 0, "side"), "inner"), (("set", "files", 0, "role"), "poem"),
    (("remarks", 0, "line"), 0), (("set", "fingerprint"), "1234"), (("findings", 0, "analyser"), "Thin Stroke"),
])
def test_the_schema_refuses_what_the_contract_forbids(
    review: Review, validator: jsonschema.Draft202012Validator, path: tuple, wrong: object
) -> None:
    record = json.loads(record_text(review))
    place = record
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = wrong
    assert not validator.is_valid(record)


@pytest.mark.parametrize("name", ["record", "made_by", "checked_at", "verdict", "set", "limits", "board", "labels",
                                  "findings", "remarks"])
def test_the_schema_asks_for_every_field_of_the_contract(
    review: Review, validator: jsonschema.Draft202012Validator, name: str
) -> None:
    record = record_of(review)
    del record[name]
    assert not validator.is_valid(record)


def test_lengths_are_whole_micrometres(review: Review) -> None:
    long = replace(review.labels[0].label, character_height_mm=0.71049999, box_mm=(1.23456, -1e-9, 2.0004, 3.0))
    record = record_of(replace(review, labels=(replace(review.labels[0], label=long),)))
    assert record["labels"][0]["character_height_mm"] == 0.71
    assert record["labels"][0]["box_mm"] == [1.235, 0.0, 2.0, 3.0]
    assert "-0.0" not in json.dumps(record["labels"][0]["box_mm"])
    assert record["set"]["files"][1]["ink_mm2"] == 12.3457


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_what_is_not_finite_is_not_known(
    review: Review, validator: jsonschema.Draft202012Validator, value: float
) -> None:
    finding = replace(review.findings[0], measured=value, box_mm=(value, 0.0, 1.0, 1.0))
    label = replace(review.labels[0].label, gap_mm=value, turned_deg=value)
    odd = replace(review, findings=(finding,), labels=(replace(review.labels[0], label=label),))
    record = json.loads(record_text(odd), parse_constant=lambda name: pytest.fail(f"{name} in the record"))
    validator.validate(record)
    assert record["findings"][0]["measured"] is None
    assert record["findings"][0]["box_mm"] is None
    assert record["labels"][0]["gap_mm"] is None


def test_an_angle_stays_below_a_full_turn(review: Review) -> None:
    label = replace(review.labels[0].label, turned_deg=359.9999999)
    record = record_of(replace(review, labels=(replace(review.labels[0], label=label),)))
    assert record["labels"][0]["turned_deg"] == 0.0


def test_files_are_sorted_and_everything_else_keeps_its_order(review: Review) -> None:
    record = record_of(review)
    assert [entry["name"] for entry in record["set"]["files"]] == ["notes.pdf", "top.gto"]
    assert [entry["id"] for entry in record["labels"]] == ["T1", "T2", "T3", "T4", "B1", "B2"]
    assert [entry["id"] for entry in record["findings"]] == ["F1", "F2", "F3"]


def test_every_field_of_a_finding_is_recorded(review: Review) -> None:
    entry = record_of(review)["findings"][0]
    assert set(entry) == {field.name for field in fields(Finding)}


def test_the_same_review_gives_the_same_text(review: Review) -> None:
    assert record_text(review) == record_text(replace(review))
    assert record_text(review).endswith("}\n")


def test_a_file_name_that_is_no_text_can_be_written(
    review: Review, validator: jsonschema.Draft202012Validator
) -> None:
    odd = replace(review, remarks=(Remark("caf\udce9.gbr", 0, "Not text."),), set_name="Täuschung µ Ω")
    record = json.loads(record_text(odd).encode("utf-8"))
    validator.validate(record)
    assert record["remarks"][0] == {"file": "caf\\udce9.gbr", "line": None, "message": "Not text."}
    assert record["set"]["name"] == "Täuschung µ Ω"


def test_reasons_to_hold_are_recorded(review: Review) -> None:
    held = replace(review, findings=(), holding=("The legend of the top could not be read.",))
    record = record_of(held)
    assert (record["verdict"], record["holding"]) == ("hold", ["The legend of the top could not be read."])
    assert record_of(replace(held, holding=()))["verdict"] == "release"
