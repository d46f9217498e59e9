"""Every file of a set recognised for what it is, with the remarks that this brings."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import PurePosixPath
from unicodedata import normalize

from labelcheck.board.content import meaning_of_hints
from labelcheck.board.fab_set import SetFile
from labelcheck.board.names import layer_extension, may_be_layer, meaning_of_name, words_of
from labelcheck.board.roles import KnownBy, Meaning, Role, meaning_of_function
from labelcheck.formats.drill import looks_like_drill
from labelcheck.formats.gerber.artwork import AttributeSet
from labelcheck.formats.gerber.sniffing import looks_like_gerber, peek_file_attributes
from labelcheck.formats.job_file import JobEntry, JobFile, looks_like_job_file, read_job_file
from labelcheck.formats.netlist import looks_like_netlist
from labelcheck.formats.placement import looks_like_placement
from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import OUTER_SIDES, Side

UNKNOWN = "unknown"
"""Detail of a Gerber file of which neither attribute, job file, name nor comments say what it is."""


HEAD_BYTES = 32_000
"""Where file attributes stand as a rule."""


class Form(StrEnum):
    """What a file is written in."""

    GERBER = "gerber"
    DRILL = "drill"
    JOB = "job"
    NETLIST = "netlist"
    PLACEMENT = "placement"
    UNKNOWN = "unknown"
    MISSING = "missing"
    """Its bytes could not be had, or there are none."""


@dataclass(frozen=True, slots=True)
class Recognised:
    """One file, and what it was taken for."""

    file: SetFile
    form: Form
    role: Role
    side: Side | None
    known_by: KnownBy
    detail: str = ""
    meant: Role | None = None
    """For `unread`: the role that it would have had."""
    polarity: str | None = None
    """`Positive` or `Negative` as its attribute or the job file says."""
    attributes: AttributeSet = ()
    remarks: tuple[Remark, ...] = ()

    @property
    def name(self) -> str:
        return self.file.name

    def attribute(self, name: str) -> tuple[str, ...] | None:
        return dict(self.attributes).get(name)


def recognise(files: Iterable[SetFile]) -> tuple[tuple[Recognised, ...], tuple[JobFile, ...]]:
    """What each file is, in the order given, and the job files that told part of it."""
    listed = tuple(files)
    forms = {file.name: form_of(file) for file in listed}
    jobs: list[JobFile] = []
    failed: dict[str, Remark] = {}
    for file in listed:
        if forms[file.name] is Form.JOB:
            try:
                jobs.append(read_job_file(file.name, file.data))
            except UnreadableFile as error:
                failed[file.name] = Remark(file.name, error.line, f"{error.problem} {error.cure}")
    entries = {_key(entry.path): entry for job in jobs for entry in job.files}
    common = common_words(file.name for file in listed if forms[file.name] in (Form.GERBER, Form.DRILL))
    found = tuple(
        _recognise_one(file, forms[file.name], entries.get(_key(file.name)), common, failed.get(file.name))
        for file in listed
    )
    return _with_outer_layers(found), tuple(jobs)


def form_of(file: SetFile) -> Form:
    """What a file is written in, by its content alone."""
    if file.problem is not None or not file.data.strip(b"\x00 \t\r\n"):
        return Form.MISSING
    if looks_like_job_file(file.data):
        return Form.JOB
    if looks_like_gerber(file.data) and may_be_layer(file.name):
        return Form.GERBER
    if looks_like_drill(file.data):
        return Form.DRILL
    if looks_like_netlist(file.data):
        return Form.NETLIST
    return Form.PLACEMENT if looks_like_placement(file.data) else Form.UNKNOWN


def common_words(names: Iterable[str]) -> frozenset[str]:
    """Words that all layer files of a set share: the project's name, which says nothing about a layer."""
    listed = [frozenset(words_of(name)) for name in names]
    # Fewer files share a word by chance: `top_silk`, `top_mask`.
    return frozenset.intersection(*listed) if len(listed) >= 4 else frozenset()


def _key(path: str) -> str:
    # A disk of macOS may spell an accent with two signs where the job file has one.
    return normalize("NFC", path.rpartition("/")[2].lower())


def _recognise_one(
    file: SetFile, form: Form, entry: JobEntry | None, common: frozenset[str], failure: Remark | None
) -> Recognised:
    by_name = meaning_of_name(file.name, common) if may_be_layer(file.name) else None
    match form:
        case Form.MISSING:
            return _missing(file, by_name, entry)
        case Form.JOB:
            role = Role.JOB if failure is None else Role.UNREAD
            remarks = () if failure is None else (failure,)
            return Recognised(file, form, role, None, KnownBy.CONTENT, meant=Role.JOB, remarks=remarks)
        case Form.NETLIST:
            return Recognised(file, form, Role.NETLIST, None, KnownBy.CONTENT)
        case Form.PLACEMENT:
            return Recognised(file, form, Role.PLACEMENT, by_name.side if by_name else None, KnownBy.CONTENT)
        case Form.DRILL:
            return _drill(file, by_name)
        case Form.GERBER:
            return _gerber(file, by_name, entry)
        case _:
            return _unknown(file, by_name, entry)


def _missing(file: SetFile, by_name: Meaning | None, entry: JobEntry | None) -> Recognised:
    problem = file.problem or "The file is empty. Export it again, or take it out of the set."
    meaning = (meaning_of_function(entry.function) if entry is not None else None) or by_name
    if meaning is None or (file.problem is None and not layer_extension(file.name) and entry is None):
        role = Role.OTHER if file.problem is None else Role.UNREAD
        return Recognised(
            file, Form.MISSING, role, None, KnownBy.CONTENT, remarks=(Remark(file.name, None, problem),)
        )
    known_by = KnownBy.JOB_FILE if entry is not None else KnownBy.FILE_NAME
    return Recognised(
        file,
        Form.MISSING,
        Role.UNREAD,
        meaning.side,
        known_by,
        meaning.detail,
        meaning.role,
        remarks=(Remark(file.name, None, problem),),
    )


def _unknown(file: SetFile, by_name: Meaning | None, entry: JobEntry | None) -> Recognised:
    meaning = (meaning_of_function(entry.function) if entry is not None else None) or by_name
    if meaning is None or meaning.role in (Role.OTHER, Role.COMPONENT) or not layer_extension(file.name):
        return Recognised(file, Form.UNKNOWN, Role.OTHER, None, KnownBy.CONTENT)
    known_by = KnownBy.JOB_FILE if entry is not None else KnownBy.FILE_NAME
    told = (
        f"The file is named like a {meaning.role} layer but holds neither Gerber nor drill data. "
        "Export it again, or take it out of the set."
    )
    return Recognised(
        file,
        Form.UNKNOWN,
        Role.UNREAD,
        meaning.side,
        known_by,
        meaning.detail,
        meaning.role,
        remarks=(Remark(file.name, None, told),),
    )


def _drill(file: SetFile, by_name: Meaning | None) -> Recognised:
    named = by_name is not None and by_name.role is Role.DRILL
    detail = by_name.detail if by_name is not None and named else ""
    known_by = KnownBy.FILE_NAME if named else KnownBy.CONTENT
    if b"TF.FileFunction" in file.data:
        known_by = KnownBy.ATTRIBUTE
    return Recognised(file, Form.DRILL, Role.DRILL, Side.BOTH, known_by, detail)


def _gerber(file: SetFile, by_name: Meaning | None, entry: JobEntry | None) -> Recognised:
    attributes = _file_attributes(file.data)
    told = dict(attributes)
    function = told.get(".FileFunction")
    by_attribute = meaning_of_function(function) if function is not None else None
    by_job = meaning_of_function(entry.function) if entry is not None else None
    polarity = (told.get(".FilePolarity") or (None,))[0] or (entry.polarity if entry is not None else None)
    remarks: list[Remark] = []
    meaning, known_by = by_name, KnownBy.FILE_NAME
    if by_attribute is not None and function is not None:
        meaning, known_by = by_attribute, KnownBy.ATTRIBUTE
        said = ",".join(function)
        remarks += _contradiction(file.name, by_attribute, by_name, f"Its attribute says {said}", "its name")
        remarks += _contradiction(file.name, by_attribute, by_job, f"Its attribute says {said}", "the job file")
    elif by_job is not None and entry is not None:
        meaning, known_by = by_job, KnownBy.JOB_FILE
        said = ",".join(entry.function)
        remarks += _contradiction(file.name, by_job, by_name, f"The job file says {said}", "its name")
    if meaning is None:
        # What the file's comments say of it is part of its content.
        meaning, known_by = meaning_of_hints(file.data) or Meaning(Role.OTHER, None, UNKNOWN), KnownBy.CONTENT
    return Recognised(
        file,
        Form.GERBER,
        meaning.role,
        meaning.side,
        known_by,
        meaning.detail,
        polarity=polarity,
        attributes=attributes,
        remarks=tuple(remarks),
    )


def _file_attributes(data: bytes) -> AttributeSet:
    """File attributes: they stand at the head, so the rest is searched only where the function is told there."""
    head = peek_file_attributes(data[:HEAD_BYTES])
    if ".FileFunction" not in dict(head) and data.find(b".FileFunction", HEAD_BYTES) >= 0:
        return peek_file_attributes(data)
    return head


_TELLING = frozenset({Role.LEGEND, Role.MASK, Role.COPPER, Role.PASTE, Role.OUTLINE})
"""Roles for which a contradiction is worth a remark."""


def _contradiction(name: str, taken: Meaning, other: Meaning | None, said: str, whose: str) -> list[Remark]:
    if other is None or not {taken.role, other.role} & _TELLING or other.detail == "mechanical":
        return []
    sides = {taken.side, other.side} - {None, Side.INNER}
    if taken.role is other.role and len(sides) < 2:
        return []
    what = f"{other.role} {other.side}" if other.side is not None else str(other.role)
    return [Remark(name, None, f"{said}, but {whose} says {what}; the former was believed.")]


def _with_outer_layers(found: tuple[Recognised, ...]) -> tuple[Recognised, ...]:
    """Sides that only the whole set tells: of copper known by its number, and of the one layer that names none."""
    moved = _numbered_copper(found) | _left_over_sides(found)
    return tuple(
        replace(one, side=moved[one.name], remarks=(*one.remarks, *_about_side(one, moved[one.name])))
        if one.name in moved
        else one
        for one in found
    )


def _numbered_copper(found: tuple[Recognised, ...]) -> dict[str, Side]:
    """Copper known by its number only: the first is the top and the last the bottom, where no other file is."""
    copper = [one for one in found if one.role is Role.COPPER]
    numbered = {
        one.name: int(one.detail.removeprefix("layer "))
        for one in copper
        if one.side is Side.INNER and one.detail.startswith("layer ") and one.known_by is KnownBy.FILE_NAME
    }
    if len(numbered) < 2 or {one.side for one in copper} & {Side.TOP, Side.BOTTOM}:
        return {}
    ends = {min(numbered.values()): Side.TOP, max(numbered.values()): Side.BOTTOM}
    return {name: ends[number] for name, number in numbered.items() if number in ends}


def _left_over_sides(found: tuple[Recognised, ...]) -> dict[str, Side]:
    """The side of a legend, mask or paste that names none, where only one such file and one side are left."""
    moved = {}
    for role in (Role.LEGEND, Role.MASK, Role.PASTE):
        files = [one for one in found if one.role is role and one.form is Form.GERBER]
        lost = [one for one in files if one.side is None]
        free = [side for side in OUTER_SIDES if side not in {one.side for one in files}]
        if len(lost) == 1 and free:
            moved[lost[0].name] = free[0]
    return moved


def _about_side(one: Recognised, side: Side) -> tuple[Remark, ...]:
    if one.role is Role.COPPER:
        return ()
    told = f"Nothing says on which side this {one.role} is; it was taken for the {side}, where no other file is."
    return (Remark(one.name, None, told),)


def folder_of(name: str) -> str:
    """The folder of a file within its set; empty at the top."""
    parent = str(PurePosixPath(name).parent)
    return "" if parent == "." else parent
