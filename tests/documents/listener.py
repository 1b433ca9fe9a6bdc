"""One who only hears the chart in words, in any of its languages, and stitches what is said.

It shares nothing with the code that speaks: it knows the words, and counts holes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps

Stitch = tuple[int, int, int, int, int]
"""x1, y1, x2, y2 and the colour's place in the palette."""


@dataclass(frozen=True)
class Tongue:
    """The words that a listener waits for, as patterns."""

    title: str
    lane: str
    to: str
    usual: str
    way: str
    back_way: tuple[str, ...]
    bare: str
    told: str
    alike: str
    like_part: str
    sides: dict[str, str]
    parts: dict[str, str]
    of_part: dict[str, str]
    run: str
    round: str
    on: str


EN = Tongue(
    title=r"(.+): the chart in words",
    lane=r"(?P<row>[Hh]ole rows?)|[Cc]olumns?",
    to=r"and|to|back to",
    usual=r"and is over (\d+) bars?",
    way=r"from (?:column|hole row) (\d+) on where",
    back_way=("right to the left", "bottom up"),
    bare="no stitch",
    told=r"(?: from (?:column|hole row) (?P<start>\d+),)?"
    r" (?P<count>[\d,]+) stitch(?:es)?(?: each)?: (?P<rest>.+)",
    alike=r"(?:each )?as (?P<like>.+?)(?:, (?P<times>\d+) times)?; (?P<count>[\d,]+) stitch(?:es)?",
    like_part=r"(?P<lanes>.+), each from the (?P<side>\w+): "
    r"as (?P<like>.+) of the (?P<part>\w+) \w+, from .+",
    sides={"right": "right", "left": "left", "bottom": "bottom", "top": "top"},
    parts={"upper quarter": "upper", "right quarter": "right", "lower quarter": "lower"}
    | {"left quarter": "left", "upright stitches": "upright", "sideways stitches": "sideways"},
    of_part={each: each for each in ("upper", "right", "lower", "left", "upright", "sideways")},
    run=r"(.+?)(?: over (\d+))?(?:, (\d+) times)?",
    round=r"(\d+) times these (\d+): (.+)",
    on=r"go on from (?:column|hole row) (\d+)",
)
FR = Tongue(
    title=r"(.+) : la grille en toutes lettres",
    lane=r"(?P<row>[Rr]angées? de trous)|[Cc]olonnes?",
    to=r"et|à|en revenant à",
    usual=r"et se fait sur (\d+) barres?",
    way=r"à partir de la (?:colonne|rangée de trous) (\d+) si aucune",
    back_way=("chacune de droite à gauche", "chacune de bas en haut"),
    bare="aucun point",
    told=r"(?: à partir de la (?:colonne|rangée de trous) (?P<start>\d+),)?"
    r" (?P<count>[\d\s]+) points?(?: chacune)? : (?P<rest>.+)",
    alike=r"(?:chacune )?comme (?:la|les) (?P<like>.+?)(?:, (?P<times>\d+) fois)? ; "
    r"(?P<count>[\d\s]+) points?",
    like_part=r"(?P<lanes>.+), chacune à partir (?P<side>de la droite|de la gauche|du bas|du haut) : "
    r"comme les (?P<like>.+) (?:du|des) (?P<part>quart \w+|points \w+), du bord .+",
    sides={"de la droite": "right", "de la gauche": "left", "du bas": "bottom", "du haut": "top"},
    parts={"quart supérieur": "upper", "quart droit": "right", "quart inférieur": "lower"}
    | {"quart gauche": "left", "points verticaux": "upright", "points horizontaux": "sideways"},
    of_part={"quart supérieur": "upper", "quart droit": "right", "quart inférieur": "lower"}
    | {"quart gauche": "left", "points verticaux": "upright", "points horizontaux": "sideways"},
    run=r"(.+?)(?: sur (\d+))?(?:, (\d+) fois)?",
    round=r"(\d+) fois ces (\d+) : (.+)",
    on=r"reprenez à la (?:colonne|rangée de trous) (\d+)",
)
DE = Tongue(
    title=r"(.+): das Zählmuster in Worten",
    lane=r"(?P<row>Lochreihen?)|Spalten?",
    to=r"und|bis|zurück bis",
    usual=r"und geht über (\d+) Stege?",
    way=r"ab (?:Spalte|Lochreihe) (\d+), wo",
    back_way=("jede von rechts nach links", "jede von unten nach oben"),
    bare="kein Stich",
    told=r"(?: ab (?:Spalte|Lochreihe) (?P<start>\d+),)?(?: je)? (?P<count>[\d.]+) Stiche?: (?P<rest>.+)",
    alike=r"(?:jede )?wie (?P<like>.+?)(?:, (?P<times>\d+)-mal)?; (?P<count>[\d.]+) Stiche?",
    like_part=r"(?P<lanes>.+), jede von (?P<side>\w+) an: wie (?P<like>.+) de[sr] (?P<part>\w+) \w+, vom .+",
    sides={"rechts": "right", "links": "left", "unten": "bottom", "oben": "top"},
    parts={"oberes Viertel": "upper", "rechtes Viertel": "right", "unteres Viertel": "lower"}
    | {"linkes Viertel": "left", "senkrechte Stiche": "upright", "waagerechte Stiche": "sideways"},
    of_part={"oberen": "upper", "rechten": "right", "unteren": "lower"}
    | {"linken": "left", "senkrechten": "upright", "waagerechten": "sideways"},
    run=r"(.+?)(?: über (\d+))?(?:, (\d+)-mal)?",
    round=r"(\d+)-mal diese (\d+): (.+)",
    on=r"weiter ab (?:Spalte|Lochreihe) (\d+)",
)
TONGUES = {"en": EN, "fr": FR, "de": DE}


@dataclass
class _Part:
    """What was heard of one part: for each lane its stitches as (steps from the edge, over, colour)."""

    across: bool = False
    back: bool = False
    edge: int = 1
    said: int | None = None
    lanes: dict[int, list[tuple[int, int, int]]] = field(default_factory=dict)

    def stitches(self) -> Iterator[Stitch]:
        for lane, stitches in self.lanes.items():
            for steps, over, colour in stitches:
                ends = [self.edge + step * (-1 if self.back else 1) for step in (steps, steps + over)]
                first, last = min(ends), max(ends)
                yield (first, lane, last, lane, colour) if self.across else (lane, first, lane, last, colour)


class Listener:
    """Hears the blocks of one chart in words; every count that is said is compared with what was stitched."""

    def __init__(self, language: str, colours: Sequence[str], size: tuple[int, int]) -> None:
        self.tongue, self.colours, self.size = TONGUES[language], list(colours), size
        self.parts: list[tuple[str, _Part]] = []
        self.usual = 0
        self.said = 0
        self.heard: list[str] = []
        self.ten: tuple[int, int] | None = None

    def hear(self, blocks: Sequence[Block]) -> list[Stitch]:
        """Every stitch that these blocks tell, sorted."""
        for block in blocks:
            match block:
                case Heading(level=2, text=text):
                    self._section(text)
                case Heading(level=3, text=text):
                    self._close_ten()
                    self.ten = (_number(re.search(r": ([\d\s.,]+) \w+$", _plain(text))[1]), self._count())
                case Paragraph(text=text):
                    self._paragraph(_plain(text))
                case Steps(items=items):
                    for item in items:
                        self._item(_plain(item).removesuffix("."))
        self._close()
        stitches = sorted(stitch for _, part in self.parts for stitch in part.stitches())
        assert len(stitches) == self.said
        return stitches

    def _count(self) -> int:
        return sum(map(len, self.parts[-1][1].lanes.values())) if self.parts else 0

    def _close_ten(self) -> None:
        if self.ten:
            assert self._count() - self.ten[1] == self.ten[0]
        self.ten = None

    def _close(self) -> None:
        self._close_ten()
        if self.parts and self.parts[-1][1].said is not None:
            assert self._count() == self.parts[-1][1].said

    def _section(self, text: str) -> None:
        text = _plain(text)
        if re.fullmatch(self.tongue.title, text):
            return
        self._close()
        name, count = re.search(r", ([^,:]+?) ?: ([\d\s.,]+) \w+$", text).groups()
        self.parts.append((self.tongue.parts[name], _Part(said=_number(count))))

    def _paragraph(self, text: str) -> None:
        if not self.usual:
            self.said = _number(re.search(r"\d[\d,.]*", re.sub(r"(?<=\d) (?=\d)", "", text))[0])
            usual = re.search(self.tongue.usual, text)
            self.usual = int(usual[1]) if usual else 1
            return
        if like := re.fullmatch(self.tongue.like_part, text.removesuffix(".")):
            self._like_part(like)
            return
        if not self.parts:
            self.parts.append(("", _Part()))
        part = self.parts[-1][1]
        part.edge = int(re.search(self.tongue.way, text)[1])
        part.back = any(words in text for words in self.tongue.back_way)
        part.across = bool(re.match(r"The hole rows|Les rangées|Die Lochreihen", text))

    def _like_part(self, like: re.Match[str]) -> None:
        across, lanes = self._lanes(like["lanes"])
        others_across, others = self._lanes(like["like"])
        other = dict(self.parts)[self.tongue.of_part[like["part"]]]
        assert other.across == others_across
        part, side = self.parts[-1][1], self.tongue.sides[like["side"]]
        part.across, part.back = across, side in ("right", "bottom")
        part.edge = self.size[0 if across else 1] if part.back else 1
        for lane, same in zip(lanes, others, strict=True):
            part.lanes[lane] = other.lanes[same]

    def _lanes(self, text: str) -> tuple[bool, list[int]]:
        found = re.fullmatch(rf"(?:{self.tongue.lane}) (\d+)(?: (?:{self.tongue.to}) (\d+))?", text)
        assert found, text
        first, last = int(found[2]), int(found[3] or found[2])
        step = 1 if last >= first else -1
        return bool(found["row"]), list(range(first, last + step, step))

    def _item(self, text: str) -> None:
        part = self.parts[-1][1]
        head = re.match(rf"(?:{self.tongue.lane}) \d+(?: (?:{self.tongue.to}) \d+)?", text)
        across, lanes = self._lanes(head[0])
        assert across == part.across
        assert not set(lanes) & set(part.lanes)
        rest = text[head.end() :].lstrip(" :,")
        if rest == self.tongue.bare:
            part.lanes |= {lane: [] for lane in lanes}
        elif alike := re.fullmatch(self.tongue.alike, rest):
            self._alike(part, lanes, alike)
        else:
            told = re.fullmatch(self.tongue.told, " " + rest)
            assert told, rest
            at = abs(int(told["start"] or part.edge) - part.edge)
            stitches = list(self._worked(part, told["rest"], at))
            assert len(stitches) == _number(told["count"])
            part.lanes |= dict.fromkeys(lanes, stitches)

    def _alike(self, part: _Part, lanes: list[int], said: re.Match[str]) -> None:
        _, others = self._lanes(said["like"])
        times, over = divmod(len(lanes), len(others))
        assert not over
        assert times == int(said["times"] or 1) or len(others) == 1
        found = [part.lanes[other] for other in others] * times
        assert sum(map(len, found)) == _number(said["count"])
        part.lanes |= dict(zip(lanes, found, strict=True))

    def _worked(self, part: _Part, text: str, at: int) -> Iterator[tuple[int, int, int]]:
        for entry in self._unrolled(re.split(r" ?; ", text)):
            self.heard.append(entry)
            if on := re.fullmatch(self.tongue.on, entry):
                assert abs(int(on[1]) - part.edge) > at
                at = abs(int(on[1]) - part.edge)
            else:
                name, over, times = re.fullmatch(self.tongue.run, entry).groups()
                for _ in range(int(times or 1)):
                    yield at, int(over or self.usual), self.colours.index(name)
                    at += int(over or self.usual)

    def _unrolled(self, entries: list[str]) -> Iterator[str]:
        at = 0
        while at < len(entries):
            if found := re.fullmatch(self.tongue.round, entries[at]):
                yield from [found[3], *entries[at + 1 : at + int(found[2])]] * int(found[1])
                at += int(found[2])
            else:
                yield entries[at]
                at += 1


def _plain(text: str) -> str:
    return text.replace("\xa0", " ")


def _number(text: str) -> int:
    return int(re.sub(r"\D", "", text))
