"""The page as text: complete, self-contained, the same twice, and deaf to hostile names."""

import base64
import hashlib
import re
from collections.abc import Callable
from dataclasses import replace

from labelcheck.judging import Finding
from labelcheck.review.contents import LabelState, NotApplied, Review
from labelcheck.review.page.pictures import SidePicture
from labelcheck.review.page.whole import page_of
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import Side
from tests.review.page.test_markup import HOSTILE, read

Pictures = tuple[SidePicture, ...]


def without_scripts(page: str) -> str:
    return re.sub(r"<(style|script)>.*?</\1>", "", page, flags=re.DOTALL)


def test_everything_of_the_review_stands_there(review: Review, pictures: Pictures) -> None:
    told = replace(
        review, holding=("The bottom mask was not read.",),
        not_applied=(NotApplied("across-hole", Side.TOP, "the holes are not known"),),
    )
    text = read(without_scripts(page_of(told, pictures))).text
    for finding in told.findings:
        assert finding.message in text and finding.source in text
        assert finding.advice is not None and finding.advice in text
    for entry in told.files:
        assert entry.name in text and entry.sha256 in text
    for limit in told.limits:
        assert limit.name in text and limit.source in text
    for sentence in ("HOLD", told.fingerprint, "The bottom mask was not read.", "across-hole could not be asked",
                     "holes.drl:3: No unit is given", "no certificate", "Made by labelcheck"):
        assert sentence in text


def test_the_same_review_gives_the_same_page(review: Review, pictures: Pictures) -> None:
    assert page_of(review, pictures) == page_of(review, pictures)


def test_each_picture_is_packed_once(review: Review, pictures: Pictures) -> None:
    page = page_of(review, pictures)
    assert page.count("data:image/png;base64,") == len(pictures)
    for picture in pictures:
        assert page.count(base64.b64encode(picture.png).decode()) == 1
        assert page.count(f'href="#sheet-{picture.side}"') == len(picture.insets) > 0


def test_hostile_names_and_texts_become_no_markup(review: Review, pictures: Pictures) -> None:
    plain = [(tag, [name for name, _ in attributes]) for tag, attributes in read(page_of(review, pictures)).tags]
    for hostile in HOSTILE:
        labels = tuple(replace(state, label=replace(state.label, text=hostile)) for state in review.labels)
        findings = tuple(
            replace(finding, message=hostile, advice=hostile, source=hostile) for finding in review.findings
        )
        files = tuple(replace(entry, name=hostile) for entry in review.files)
        limits = tuple(replace(limit, source=hostile) for limit in review.limits)
        spoilt = replace(
            review, set_name=hostile, set_path=hostile, labels=labels, findings=findings, files=files, limits=limits,
            remarks=(Remark(hostile, 1, hostile),),
        )
        page = page_of(spoilt, pictures)
        page.encode("utf-8")
        assert [(tag, [name for name, _ in attributes]) for tag, attributes in read(page).tags] == plain


def test_only_its_own_style_and_script_may_work(review: Review, pictures: Pictures) -> None:
    # Content Security Policy Level 3 (W3C), 8.4: 'sha256-…' is the base64 of the digest over the element's text.
    page = page_of(review, pictures)
    policy = dict(read(page).tags[3][1])["content"] or ""
    assert "default-src 'none'" in policy and "unsafe" not in policy
    for tag in ("style", "script"):
        (content,) = re.findall(rf"<{tag}>(.*?)</{tag}>", page, flags=re.DOTALL)
        digest = base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()
        assert f"{tag}-src 'sha256-{digest}'" in policy
    assert " style=" not in without_scripts(page) and not re.search(r"\son\w+=", without_scripts(page))
    assert "http:" not in page and "https:" not in page


def test_a_thousand_findings(
    review: Review, pictures: Pictures, many: Callable[[int], tuple[tuple[LabelState, ...], tuple[Finding, ...]]]
) -> None:
    labels, findings = many(1000)
    page = page_of(replace(review, labels=labels, findings=findings), pictures)
    assert page.count('<tr id="F') == 1000
    # About the size of a sentence with its advice and source a line, beside the pictures.
    assert len(page) - sum(len(picture.png) * 4 / 3 for picture in pictures) < 1_000_000


def test_a_count_is_told_in_words_and_not_measured_against_none(review: Review, pictures: Pictures) -> None:
    mirrored = replace(review.findings[0], analyser="mirrored", unit="count", measured=1.0, limit=0.0)
    turned = replace(review.findings[1], analyser="reading-direction", unit="deg", measured=180.0, limit=0.0)
    page = page_of(replace(review, findings=(mirrored, turned, review.findings[2])), pictures)
    assert re.findall(r'<td class="amount">(.*?)</td>', page.partition("</table>")[0])[:2] == ["", "180.0°"]


def test_nothing_found_and_nothing_there(review: Review, pictures: Pictures) -> None:
    clean = replace(review, findings=(), remarks=())
    plain = tuple(replace(picture, insets=(), marks=()) for picture in pictures)
    page = page_of(clean, plain)
    assert "Nothing was found against them." in page
    assert "findings-table" not in without_scripts(page) and "Enlarged" not in without_scripts(page)
    assert "No label was found: nothing was checked." in page_of(replace(clean, labels=()), plain)


def test_inches(review: Review, pictures: Pictures) -> None:
    page = page_of(review, pictures, "inch")
    assert "0.0280 in high" in page and "0.0315 in" in page
