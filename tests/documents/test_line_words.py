"""The line in words: who works what is written, in any language, lays the first line stitch for stitch."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kitbuild.documents.edition import USUAL
from kitbuild.documents.job import Job
from kitbuild.documents.line_words import line_words
from kitbuild.documents.wording import languages, wording
from kitbuild.pattern.panel import Stitches
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.spec.piece import Piece
from kitbuild.spec.records import Hand, Kit
from tests.documents.demo import branches, kits
from tests.documents.jobs import job_for
from tests.pattern.builders import UPRIGHT, kit, pieces, squares

End = tuple[int, int]
HANDS: tuple[Hand, ...] = ("right", "left")


@dataclass(frozen=True)
class Tongue:
    """The words of a line, as patterns."""

    one: str
    string: str
    end: str
    ways: dict[str, str]
    group: str
    rounds: str
    turned: str
    edges: dict[str, int]
    span: str
    more: str
    again: str


EN = Tongue(
    one=r"1 stitch over (?P<usual>\d+) bars?, its (?P<end>\w+) end in hole \((?P<x>\d+), (?P<y>\d+)\)",
    string=r"(?P<count>\d+) stitches (?P<way>to the \w+|downwards), each over (?P<usual>\d+) bars?[^:]*?, "
    r"the (?P<end>\w+) end of the first in hole \((?P<x>\d+), (?P<y>\d+)\)[^:]*: (?P<groups>.+)",
    end="left",
    ways={"to the right": "right", "to the left": "left", "downwards": "down"},
    group=r"(?:(?P<groups>\d+) groups? of )?(?P<stitches>\d+) stitch(?:es)?(?: over (?P<over>\d+))?"
    r"(?:, (?:each )?(?:(?P<same>at the same height|in the same column)|"
    r"(?P<rise>\d+) bars? (?P<to>.+)))?",
    rounds=r"(?P<times>\d+) times these (?P<count>\d+): (?P<rest>.+)",
    turned=r"turn the piece until its (?P<edge>\w+) edge .+ same (?P<count>\d+) .+ "
    r"hole \((?P<x>\d+), (?P<y>\d+)\)",
    edges={"right": 1, "lower": 2, "left": 3},
    span=r".+?, columns? (?P<first>\d+)(?: to (?P<last>\d+))?(?:, worked .+?)?: (?P<groups>.+)",
    more="(?P<more>\\d+) stitch(?:es)? more of the group before, at the same height",
    again=r"the next repeat begins (?:at the same height|(?P<rise>\d+) bars? (?P<to>\w+))",
)
FR = Tongue(
    one=r"1 point sur (?P<usual>\d+) barres?, son bout (?P<end>\w+) dans le trou \((?P<x>\d+), (?P<y>\d+)\)",
    string=r"(?P<count>\d+) points (?P<way>vers \w+ \w+), chacun sur (?P<usual>\d+) barres?[^:]*?, "
    r"le bout (?P<end>\w+) du premier dans le trou \((?P<x>\d+), (?P<y>\d+)\)[^:]*?: (?P<groups>.+)",
    end="gauche",
    ways={"vers la droite": "right", "vers la gauche": "left", "vers le bas": "down"},
    group=r"(?:(?P<groups>\d+) groupes? (?:de |d’))?(?P<stitches>\d+|un) points?(?: sur (?P<over>\d+))?"
    r"(?:, (?:chacun )?(?:(?P<same>à la même hauteur|dans la même colonne)|"
    r"(?P<rise>\d+) barres? (?P<to>.+)))?",
    rounds=r"(?P<times>\d+) fois ces (?P<count>\d+) : (?P<rest>.+)",
    turned=r"tournez .+ bord (?P<edge>\w+) soit .+ "
    r"(?:mêmes (?P<count>\d+)|même) .+ trou \((?P<x>\d+), (?P<y>\d+)\)",
    edges={"droit": 1, "inférieur": 2, "gauche": 3},
    span=r".+?, colonnes? (?P<first>\d+)(?: à (?P<last>\d+))?(?:, à broder .+?)? : (?P<groups>.+)",
    more=r"encore (?P<more>\d+|un) points? du groupe précédent, à la même hauteur",
    again=r"le motif suivant commence (?:à la même hauteur|(?P<rise>\d+) barres? (?P<to>.+))",
)
DE = Tongue(
    one=r"1 Stich über (?P<usual>\d+) Stege?, sein (?P<end>\w+) Ende in Loch \((?P<x>\d+), (?P<y>\d+)\)",
    string=r"(?P<count>\d+) Stiche (?P<way>nach \w+), jeder über (?P<usual>\d+) Stege?[^:]*?, "
    r"das (?P<end>\w+) Ende des ersten in Loch \((?P<x>\d+), (?P<y>\d+)\)[^:]*: (?P<groups>.+)",
    end="linke",
    ways={"nach rechts": "right", "nach links": "left", "nach unten": "down"},
    group=r"(?:(?P<groups>\d+) Gruppen? zu )?(?P<stitches>\d+) Stiche?n?(?: über (?P<over>\d+))?"
    r"(?:, (?:jeweils )?(?:(?P<same>auf gleicher Höhe|in derselben Spalte)|"
    r"(?P<rise>\d+) Stege? (?P<to>.+)))?",
    rounds=r"(?P<times>\d+)-mal diese (?P<count>\d+): (?P<rest>.+)",
    turned=r"Drehen Sie .+ sein (?P<edge>\w+) Rand .+ (?:dieselben (?P<count>\d+)|denselben) .+ "
    r"Loch \((?P<x>\d+), (?P<y>\d+)\)",
    edges={"rechter": 1, "unterer": 2, "linker": 3},
    span=r".+?, Spalten? (?P<first>\d+)(?: bis (?P<last>\d+))?(?:, .+?)?: (?P<groups>.+)",
    more=r"(?:noch |weitere )?(?P<more>\d+) .+ Gruppe.*",
    again=r"der nächste Rapport beginnt (?:auf gleicher Höhe|(?P<rise>\d+) Stege? (?P<to>\w+))",
)
TONGUES = {"en": EN, "fr": FR, "de": DE}
UP = ("higher", "plus haut", "höher", "farther left", "plus à gauche", "weiter links")
DOWN = ("lower", "plus bas", "tiefer", "farther right", "plus à droite", "weiter rechts")


class Worker:
    """Lays what the sentences tell; a stitch is its two ends."""

    def __init__(self, language: str, columns: int) -> None:
        self.tongue, self.columns = TONGUES[language], columns
        self.laid: list[tuple[End, ...]] = []

    def work(self, sentences: tuple[str, ...], start: End, over: int, hand: Hand) -> set[tuple[End, ...]]:
        """All stitches; `start` and `over` are what stated lines leave to the start hole and the chart."""
        plain = [text.replace("\xa0", " ") for text in sentences]
        if any(re.search(self.tongue.one, text) or re.search(self.tongue.string, text) for text in plain):
            for text in plain:
                self._sentence(text)
        else:
            self._stated(plain, start, over, hand)
        assert len(set(self.laid)) == len(self.laid)
        return set(self.laid)

    def _sentence(self, text: str) -> None:
        if turned := re.search(self.tongue.turned, text):
            self._turn(turned)
        elif found := re.search(self.tongue.string, text):
            before = len(self.laid)
            sideways = found["end"].startswith(self.tongue.end)
            way = self.tongue.ways[found["way"]]
            assert sideways == (way == "down")
            self._lay(found["groups"], int(found["x"]), int(found["y"]), int(found["usual"]), way)
            assert len(self.laid) - before == int(found["count"])
        else:
            one = re.search(self.tongue.one, text)
            assert one, text
            x, y, over = int(one["x"]), int(one["y"]), int(one["usual"])
            sideways = one["end"].startswith(self.tongue.end)
            self.laid.append(((x, y), (x + over, y) if sideways else (x, y + over)))

    def _turn(self, turned: re.Match[str]) -> None:
        """The first quarter again, turned; the hole that is named says where the first stitch comes."""
        first = self.laid[: int(turned["count"] or 1)]
        size = self.columns + 1
        here = []
        for stitch in first:
            for _ in range(self.tongue.edges[turned["edge"]]):
                stitch = tuple((size - y, x) for x, y in stitch)
            here.append(stitch)
        assert here[0][0] == (int(turned["x"]), int(turned["y"]))
        self.laid += [tuple(sorted(stitch)) for stitch in here]

    def _lay(self, groups: str, x: int, y: int, usual: int, way: str) -> None:
        """Stitches side by side from the upper, or left, end (x, y) of the first."""
        for group in self._unrolled(re.split(r" ?; ", groups)):
            said = re.fullmatch(self.tongue.group, group)
            assert said, group
            for _ in range(int(said["groups"] or 1)):
                rise = _signed(said)
                x, y = (x - rise, y) if way == "down" else (x, y - rise)
                for _ in range(_number(said["stitches"])):
                    over = int(said["over"] or usual)
                    self.laid.append(((x, y), (x + over, y) if way == "down" else (x, y + over)))
                    x, y = (x, y + 1) if way == "down" else (x + (1 if way == "right" else -1), y)

    def _unrolled(self, groups: list[str]) -> Iterator[str]:
        at = 0
        while at < len(groups):
            if found := re.fullmatch(self.tongue.rounds, groups[at]):
                count = int(found["count"])
                yield from [found["rest"], *groups[at + 1 : at + count]] * int(found["times"])
                at += count
            else:
                yield groups[at]
                at += 1

    def _stated(self, sentences: list[str], start: End, over: int, hand: Hand) -> None:
        """Left end, repeats and right end, from column to column; each repeat as often as it fits."""
        step = 1 if hand == "right" else -1
        spans = [re.fullmatch(self.tongue.span, text) for text in sentences]
        firsts = [int(span["first"]) for span in spans]
        last = self.columns + 1 if hand == "right" else 0
        x, y = start
        begun = False
        for span, stop in zip(spans, [*firsts[1:], last], strict=True):
            assert int(span["first"]) == x
            while x != stop:
                x, y = self._stretch(re.split(r" ?; ", span["groups"]), x, y, over, step, begun=begun)
                begun = True

    def _stretch(self, groups: list[str], x: int, y: int, over: int, step: int, *, begun: bool) -> End:
        for at, group in enumerate(groups):
            if more := re.fullmatch(self.tongue.more, group):
                count, times, rise = _number(more["more"]), 1, 0
            elif again := re.fullmatch(self.tongue.again, group):
                self.next_rise = _signed(again)
                continue
            else:
                said = re.fullmatch(self.tongue.group, group)
                assert said, group
                count, times, rise = _number(said["stitches"]), int(said["groups"] or 1), _signed(said)
                if at == 0 and begun and not said["rise"]:
                    rise = self.next_rise
            for _ in range(times):
                y -= rise
                for _ in range(count):
                    self.laid.append(((x, y), (x, y + over)))
                    x += step
        return x, y

    next_rise = 0


def _signed(said: re.Match[str]) -> int:
    if not said["rise"]:
        return 0
    assert said["to"] in (*UP, *DOWN), said["to"]
    return int(said["rise"]) if said["to"] in UP else -int(said["rise"])


def _number(text: str) -> int:
    return 1 if text == "un" else int(text)


def ends(work: Stitches) -> set[tuple[End, ...]]:
    columns = (part.tolist() for part in (work.x1, work.y1, work.x2, work.y2))
    return {((x1, y1), (x2, y2)) for x1, y1, x2, y2 in zip(*columns, strict=True)}


def wanted(job: Job, each: PieceAmounts) -> set[tuple[End, ...]]:
    """The line's row; of ring patterns the line that is laid first; of charted work the first area."""
    panel = each.panel
    work = panel.stitches
    if panel.piece.pattern.family != "charted":
        rings = panel.counted == "rings"
        line = work.course == work.course.min()
        return ends(work.take(line if rings else work.row == work.row[line][0]))
    order = job.order(each)
    first = work.take(order.stitch[:1])
    along = "y1" if first.x1[0] != first.x2[0] else "x1"
    found = [0]
    for at in range(1, len(order.stitch)):
        a, b = work.take(order.stitch[at - 1 : at]), work.take(order.stitch[at : at + 1])
        beside = abs(int(getattr(a, along)[0]) - int(getattr(b, along)[0])) == 1
        like = (a.x1[0] == a.x2[0]) == (b.x1[0] == b.x2[0]) and a.course[0] == b.course[0]
        if not (beside and like and order.turn[at] == 0):
            break
        found.append(at)
    return ends(work.take(order.stitch[found]))


def check(job: Job) -> None:
    for language in languages():
        for hand in HANDS:
            speaker = replace(job, say=wording(language), edition=replace(USUAL, hand=hand))
            for each in job.amounts.pieces:
                columns = each.panel.cover.columns
                line = wanted(speaker, each)
                first = (min if hand == "right" else max)(line)
                worker = Worker(language, columns)
                over = max(each.panel.piece.pattern.overs)
                said = line_words(speaker, each)
                assert worker.work(said, first[0], over, hand) == line, (language, hand, said)


@cache
def every_kit() -> dict[str, Kit]:
    return kits() | {code: found for code, (found, _) in branches().items()}


@pytest.mark.parametrize("code", sorted({*kits(), *branches()}))
def test_who_works_the_words_lays_the_line(code: str) -> None:
    check(job_for(every_kit()[code]))


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.one_of(pieces(30, UPRIGHT), squares(21)))
def test_any_line_can_be_worked_from_its_words(piece: Piece) -> None:
    check(job_for(kit(piece)))
