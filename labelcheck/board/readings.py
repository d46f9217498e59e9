"""The files of one set while a board is made of them: what each is, what was read, what is to be told."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from labelcheck.board.recognising import Form, Recognised
from labelcheck.board.roles import KnownBy, Role
from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.formats.gerber.reading import read_artwork
from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import Side


@dataclass(slots=True)
class Readings:
    """What is gathered while a board is built (mutable; it is dropped when the board is made)."""

    found: dict[str, Recognised]
    """By name, in order of name."""
    artworks: dict[str, Artwork] = field(default_factory=dict)
    remarks: list[Remark] = field(default_factory=list)
    holding: list[str] = field(default_factory=list)

    def of_role(self, role: Role, side: Side | None = None) -> list[Recognised]:
        """Gerber files of a role, on one side where that is asked for."""
        return [
            one
            for one in self.found.values()
            if one.form is Form.GERBER and one.role is role and (side is None or one.side is side)
        ]

    def read(self, one: Recognised) -> Artwork | None:
        """The artwork of a file, read once; None where it cannot be read, which makes it `unread`."""
        if self.found[one.name].role is Role.UNREAD:
            return None
        if one.name not in self.artworks:
            try:
                artwork = read_artwork(one.name, one.file.data)
            except UnreadableFile as error:
                self.mark_unread(one.name, remark_of(one.name, error))
                return None
            self.artworks[one.name] = artwork
            self.remarks += artwork.remarks
        return self.artworks[one.name]

    def read_all(self, wanted: Iterable[Recognised]) -> list[Artwork]:
        """The artwork of those of the files that can be read."""
        return [artwork for one in wanted if (artwork := self.read(one)) is not None]

    def mark_unread(self, name: str, remark: Remark) -> None:
        """Make a file `unread`; what it was meant for stays known."""
        one = self.found[name]
        self.found[name] = replace(one, role=Role.UNREAD, meant=one.role)
        self.remarks.append(remark)

    def demote(self, name: str, detail: str) -> None:
        """A file whose content shows that it is not what its name says, or that is not needed for it."""
        one = self.found[name]
        self.found[name] = replace(one, role=Role.OTHER, side=None, known_by=KnownBy.CONTENT, detail=detail)


def remark_of(name: str, error: UnreadableFile) -> Remark:
    """An unreadable file as a remark, beginning with a capital."""
    return Remark(name, error.line, f"{error.problem[:1].upper()}{error.problem[1:]} {error.cure}")
