"""Puts the page together: one file that needs no network, and no script to be read."""

import base64
import hashlib
from collections.abc import Iterable, Sequence
from pathlib import Path

from labelcheck.analysers import all_analysers
from labelcheck.judging import SEVERITIES, Finding, Severity
from labelcheck.review.cautions import CAUTION
from labelcheck.review.contents import Review, Verdict
from labelcheck.review.grouping import FindingGroup, group_findings, group_remarks
from labelcheck.review.page.markup import Markup, element, opening, shown, together
from labelcheck.review.page.pictures import SidePicture, inset_figures, side_figure
from labelcheck.review.page.tables import (
    SEVERITY_WORDS,
    files_table,
    findings_table,
    limits_table,
    questions_table,
)
from labelcheck.review.sentences import not_asked, not_read, remark_told, sentence
from labelcheck.review.verdict import origin_of, tally, verdict_words
from labelcheck.review.wording import counted, in_unit
from labelcheck.trade.sides import OUTER_SIDES
from labelcheck.trade.units import Unit
from labelcheck.trade.version import MADE_BY

_FOLDER = Path(__file__).parent
_STYLE = (_FOLDER / "page.css").read_text(encoding="utf-8")
_SCRIPT = (_FOLDER / "page.js").read_text(encoding="utf-8")


def _allowed(content: str) -> str:
    """A digest that lets exactly this text be a style or script of the page (W3C, Content Security Policy 3, 8.4)."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(content.encode('utf-8')).digest()).decode('ascii')}'"


_POLICY = (
    f"default-src 'none'; img-src data:; style-src {_allowed(_STYLE)}; script-src {_allowed(_SCRIPT)}; "
    "base-uri 'none'; form-action 'none'"
)
"""Nothing is ever fetched, and a text that got past the escaping could still not run."""


def page_of(review: Review, pictures: Sequence[SidePicture], unit: Unit = "mm") -> str:
    """The whole page as HTML text, the same for the same review and pictures."""
    groups = group_findings(review.findings, {state.label.id: state.label for state in review.labels})
    findings = {finding.id: finding for finding in review.findings}
    main = [
        _opening(review, unit),
        _section(
            "Findings",
            element(
                "div",
                [_pictures(pictures, review), _findings(groups, review, unit)],
                class_="split",
            ),
        ),
        _section("Enlarged", _insets(pictures, findings, unit)),
        _section("Remarks", _list(remark_told(group, unit) for group in group_remarks(review.remarks))),
        _section("What was asked", questions_table(all_analysers(), review.findings)),
        _section("Limits in force", limits_table(review.limits, unit)),
        _section("Files that were checked", _files(review)),
        _section("What a check cannot promise", element("p", CAUTION)),
        _sign_off(),
    ]
    body = [
        element("a", "To the findings", href="#findings", class_="skip"),
        _header(review),
        element("main", together(main)),
        element("footer", element("p", f"Made by {MADE_BY}. record.json holds the same for programs.")),
        element("script", Markup(_SCRIPT)),
    ]
    return together(
        [
            Markup("<!DOCTYPE html>\n"),
            element("html", [_head(review), Markup("\n"), element("body", together(body))], lang="en"),
            Markup("\n"),
        ]
    )


def _head(review: Review) -> Markup:
    parts = [
        opening("meta", charset="utf-8"),
        opening("meta", http_equiv="Content-Security-Policy", content=Markup(_POLICY)),
        opening("meta", name="viewport", content="width=device-width, initial-scale=1"),
        opening("meta", name="color-scheme", content="light dark"),
        opening("meta", name="referrer", content="no-referrer"),
        element("title", f"{review.set_name}: {str(review.verdict).upper()} - review of its labels"),
        element("style", Markup(_STYLE)),
    ]
    return element("head", together(parts))


def _header(review: Review) -> Markup:
    places = ["Findings", "Limits in force", "Files that were checked"]
    jumps = [element("li", element("a", place, href=f"#{_anchor(place)}")) for place in places]
    return element(
        "header",
        [
            element("h1", review.set_name),
            element("nav", element("ul", together(jumps)), aria_label="Parts of this review"),
        ],
    )


def _opening(review: Review, unit: Unit) -> Markup:
    """The verdict, what it rests on, and everything that keeps it from being the whole truth."""
    word, _, reason = verdict_words(review).partition(": ")
    badge = element("strong", word, class_=f"verdict {'released' if review.verdict is Verdict.RELEASE else 'held'}")
    told = [
        element("h2", [badge, Markup(" "), reason], id="verdict"),
        element("p", f"{tally(review.findings, len(review.labels))}."),
        element("p", [f"{origin_of(review)[0].upper()}{origin_of(review)[1:]}"], class_="source"),
    ]
    for heading, sentences in (
        ("Why it is on hold", [in_unit(sentence(reason), unit) for reason in review.holding]),
        ("Not read, not asked", [*not_read(review), *not_asked(review)]),
    ):
        if sentences:
            told += [element("h3", heading), _list(sentences)]
    return element("section", together(told), aria_labelledby="verdict")


def _pictures(pictures: Sequence[SidePicture], review: Review) -> Markup:
    figures = []
    for picture in pictures:
        on_side = sum(1 for finding in review.findings if finding.side is picture.side)
        figures.append(side_figure(picture, counted(on_side, "finding")))
    return element("div", together(figures), class_="pictures", id="pictures")


def _findings(groups: Sequence[FindingGroup], review: Review, unit: Unit) -> Markup:
    """The filter, which only a script can work and so only a script shows, and the table."""
    if not review.findings:
        nothing = "Nothing was found against them." if review.labels else "No label was found: nothing was checked."
        return element("div", element("p", nothing), class_="lines")
    table = findings_table(groups, {state.label.id: state.label for state in review.labels}, unit)
    repeats = any(len(group.findings) > 1 for group in groups)
    return element("div", [_filter(review, repeats), element("div", table, class_="rows")], class_="lines")


def _filter(review: Review, repeats: bool) -> Markup:
    severities = [str(severity) for severity in SEVERITIES if _count(review.findings, severity)]
    words = {str(severity): text for severity, text in SEVERITY_WORDS.items()} | {"accepted": "accepted"}
    if any(finding.accepted is not None for finding in review.findings):
        severities.append("accepted")
    boxes = [
        element("label", [opening("input", type="checkbox", name="severity", value=name, checked=True), words[name]])
        for name in severities
    ]
    if repeats:
        every = opening("input", type="checkbox", name="alike", checked=True)
        boxes.append(element("label", [every, "every label of a fault"]))
    kinds = sorted({finding.analyser for finding in review.findings})
    parts = [
        element("label", ["Find ", opening("input", type="search", name="text", autocomplete="off")]),
        element("fieldset", [element("legend", "Show"), *boxes]),
        element("label", ["Side ", _choice("side", "both sides", [str(side) for side in OUTER_SIDES])]),
        element("label", ["Question ", _choice("question", "every question", kinds)]),
        element("button", "Show all", type="button", data_do="reset"),
        element("p", counted(len(review.findings), "finding"), role="status", id="shown"),
    ]
    return element("form", together(parts), id="filter", hidden=True, aria_label="Filter the findings")


def _count(findings: Iterable[Finding], severity: Severity) -> int:
    return sum(1 for finding in findings if finding.severity is severity and finding.accepted is None)


def _choice(name: str, every: str, values: Sequence[str]) -> Markup:
    options = [element("option", every, value="")] + [element("option", value, value=value) for value in values]
    return element("select", together(options), name=name)


def _insets(pictures: Sequence[SidePicture], findings: dict[str, Finding], unit: Unit) -> Markup:
    figures = inset_figures(pictures, findings, unit)
    return element("div", figures, class_="insets") if figures else Markup("")


def _files(review: Review) -> Markup:
    whole = element("p", ["Fingerprint of the set: ", element("code", review.fingerprint, class_="digest")])
    place = element("p", ["Checked as ", element("code", review.set_path)], class_="source")
    return together([whole, place, files_table(review.files)])


def _sign_off() -> Markup:
    """Lines for a pen: only on paper."""
    blanks = [element("span", words) for words in ("Decision", "Name", "Date", "Signature")]
    return element("div", together(blanks), class_="sign-off", aria_hidden="true")


def _list(sentences: Iterable[str]) -> Markup:
    items = [element("li", text) for text in sentences]
    return element("ul", together(items)) if items else Markup("")


def _section(heading: str, content: Markup) -> Markup:
    """A part of the page under its heading; nothing at all where it has no content."""
    if not content:
        return Markup("")
    name = _anchor(heading)
    return element(
        "section", [element("h2", heading, id=name), content], aria_labelledby=name, class_=f"part-{name}"
    )


def _anchor(heading: str) -> str:
    return shown(heading.lower().replace(" ", "-").replace(",", ""))
