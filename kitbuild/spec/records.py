"""What the maker wrote, checked: frozen records whose every value knows its place in the file.

Lengths are millimetres, counts are holes, groups or bars as named, money is whole minor units of the
workshop's currency, weights are whole milligrams, None where none was said. `at` finds the place of a value:
`piece.at("finish", "border")`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from kitbuild.base.colour import Rgb
from kitbuild.base.problem import Place
from kitbuild.spec.lessons import Lesson
from kitbuild.spec.packing import BoxType, Weighing
from kitbuild.spec.source import At
from kitbuild.spec.trade import Licence, Replacement, Trade

Policy = Literal["clean holes", "cover the back", "even", "save thread"]
FinishKind = Literal["flat", "sleeve", "cushion", "box", "framed", "ornament"]
Edge = Literal["top", "right", "bottom", "left"]
Hand = Literal["right", "left"]
EditionWord = Literal[
    "left", "large", "mono", "imposed", "left.large", "left.mono", "left.imposed", "large.mono",
    "mono.imposed", "left.large.mono", "left.mono.imposed",
]  # fmt: skip
Use = Literal["coaster", "sleeve", "cushion", "box", "panel", "ornament", "shade", "lantern", "other"]
Family = Literal[
    "flame", "scallop", "ribbon", "diamond", "medallion", "hungarian point", "four-way", "charted"
]


@dataclass(frozen=True, slots=True)
class Stock:
    """A sheet or roll that canvas comes in.

    `columns` and `rows` are whole holes; for a roll, `columns` is its usable width and `rows` its whole
    length. `cost_minor` is for one sheet, or for one whole roll.
    """

    key: str
    title: str
    form: Literal["sheet", "roll"]
    columns: int
    rows: int
    cost_minor: int
    bin: str
    at: At = field(repr=False, compare=False)
    supplier: str = ""
    order_multiple: int = 1
    weight_mg: int | None = None


@dataclass(frozen=True, slots=True)
class Canvas:
    """A counted canvas; `measured` says whether `pitch_mm` was measured or follows from the count.

    `stages` are the rounds of parallel cuts that a cut plan of it may take.
    """

    key: str
    title: str
    weave: Literal["plastic", "woven"]
    count: float
    pitch_mm: float
    measured: bool
    thickness_mm: float
    bar_mm: float
    kerf: int
    bin: str
    stock: tuple[Stock, ...]
    at: At = field(repr=False, compare=False)
    stages: Literal[2, 3] = 3
    replaced_by: Replacement | None = None


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread as it is sold.

    `bend_mm` is what bending round the bars takes, a stitch of two passes; from hand to hand it is off by up
    to `bend_spread_mm`. `packed` says whether whole put-ups go into a box, or needlefuls cut from them.
    `pull` is what work takes of it against the model, as a test stitch found. `colour_tested` says whether
    its colour was tested for running.
    """

    key: str
    title: str
    fibre: str
    rgb: Rgb
    colour_name: str
    put_up: str
    put_up_mm: float
    thickness_mm: float
    bend_mm: float
    plies: int
    strands: int
    cost_minor: int
    bin: str
    at: At = field(repr=False, compare=False)
    bend_spread_mm: float = 0.5
    packed: Literal["put-ups", "needlefuls"] = "put-ups"
    pull: float = 1.0
    colour_tested: bool = False
    supplier: str = ""
    order_multiple: int = 1
    weight_mg: int | None = None
    replaced_by: Replacement | None = None


@dataclass(frozen=True, slots=True)
class Needle:
    """A tapestry needle by its size number; `length_mm` is None where nobody measured it."""

    key: str
    title: str
    size: int
    cost_minor: int
    bin: str
    at: At = field(repr=False, compare=False)
    length_mm: float | None = None
    supplier: str = ""
    order_multiple: int = 1
    weight_mg: int | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """A part as it comes loose: a rod's length, a disc's or ball's diameter, a box's edges.

    A rod and a disc may say their thickness as well; without it they are thin.
    """

    shape: Literal["rod", "disc", "sphere", "box"]
    size_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Bag:
    """A bag of film, in exact mm, since statutes have limits for it.

    Its opening is told by the diameter that it opens to, or by its flat width; the other is None.
    """

    opening_mm: Fraction | None
    flat_width_mm: Fraction | None
    thickness_mm: Fraction
    length_mm: Fraction
    width_mm: Fraction


@dataclass(frozen=True, slots=True)
class Extra:
    """Anything else that goes into a box; `made_of`, `hazards`, `parts` and `bag` lead to its cautions."""

    key: str
    title: str
    unit: str
    made_of: tuple[str, ...]
    hazards: tuple[str, ...]
    cost_minor: int
    bin: str
    at: At = field(repr=False, compare=False)
    parts: tuple[Part, ...] = ()
    bag: Bag | None = None
    supplier: str = ""
    order_multiple: int = 1
    weight_mg: int | None = None


@dataclass(frozen=True, slots=True)
class Supplier:
    """Who sells materials; an order comes to `minimum_minor` at least."""

    key: str
    title: str
    minimum_minor: int
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Materials:
    """All materials of the range by key; a key stands for one thing only."""

    canvases: Mapping[str, Canvas]
    threads: Mapping[str, Thread]
    needles: Mapping[str, Needle]
    extras: Mapping[str, Extra]
    suppliers: Mapping[str, Supplier] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ThreadRules:
    """The house's handling of a needleful (mm), the use of remainders, and the share packed as spare.

    `spare_for` are the reasons for the spare.
    """

    needleful_mm: float
    start_tail_mm: float
    run_under_mm: float
    held_mm: float
    longest_run_mm: float
    least_remainder_mm: float
    spare_share: float
    park: bool
    spare_for: tuple[str, ...] = ("unpicking", "tension")


@dataclass(frozen=True, slots=True)
class Words:
    """The workshop's own words in a language: `sentences` by their ids, said otherwise than the catalogue's.

    `own` leads from texts of its other files to what stands for them in this language, `plurals` from their
    words for units to what is said of more than one, by plural category (CLDR).
    """

    language: str
    sentences: Mapping[str, str]
    own: Mapping[str, str]
    plurals: Mapping[str, Mapping[str, str]]
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class LabelStock:
    """A sheet of labels in mm: how many, each one's size, where the first begins, the gaps between them."""

    columns: int
    rows: int
    width_mm: float
    height_mm: float
    left_mm: float
    top_mm: float
    gap_across_mm: float
    gap_down_mm: float


@dataclass(frozen=True, slots=True)
class Labels:
    """What labels are printed on, and the words for where kits are made ("" for none)."""

    paper: str = ""
    origin: str = ""
    box: LabelStock = LabelStock(2, 4, 99.1, 67.7, 4.6, 13.1, 2.5, 0)
    bundle: LabelStock = LabelStock(3, 8, 63.5, 33.9, 7.2, 12.9, 2.5, 0)


@dataclass(frozen=True, slots=True)
class House:
    """The workshop: who it is, how it counts, prints and costs.

    The first of `languages` and of `papers` is that of files with the plain name; `editions` are made beside
    the usual ones.
    """

    name: str
    address: tuple[str, ...]
    contact: str
    languages: tuple[str, ...]
    papers: tuple[str, ...]
    editions: tuple[EditionWord, ...]
    currency: str
    thread: ThreadRules
    longest_stitch_mm: Mapping[str, float]
    stitches_per_hour: float
    finish_stitches_per_hour: float
    packing_minutes: float
    packing_wage_minor: int
    booklet_cost_minor: int
    sheet_cost_minor: int
    printed_bin: str
    at: At = field(repr=False, compare=False)
    words: tuple[Words, ...] = ()
    labels: Labels = Labels()
    boxes: Mapping[str, BoxType] = field(default_factory=dict)
    weighing: Weighing | None = None
    booklet_weight_mg: int | None = None
    sheet_weight_mg: int | None = None
    trade: Trade = field(default_factory=Trade)

    @property
    def language(self) -> str:
        """The first language."""
        return self.languages[0]


@dataclass(frozen=True, slots=True)
class Group:
    """`stitches` side by side at one height, `drop` bars below the group before it (above: negative)."""

    stitches: int
    drop: int


@dataclass(frozen=True, slots=True)
class Line:
    """One repeat of a pattern's main line.

    `drift` is how many bars the next repeat stands below this one; 0 for a line that returns to its start.
    """

    groups: tuple[Group, ...]
    drift: int
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Chart:
    """Charted work as the maker drew it: five tuples of one length, an entry a stitch.

    Holes count from 1, x from the left, y from the top; either end may come first. `colour` counts in the
    pattern's colours. `at` finds the place of stitch i by `at(i)`, where it was written apart from the kit.
    """

    x1: tuple[int, ...]
    y1: tuple[int, ...]
    x2: tuple[int, ...]
    y2: tuple[int, ...]
    colour: tuple[int, ...]
    at: At | None = field(default=None, repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Pattern:
    """A family with its line. `colours` are palette keys: by row, or by ring from the line inwards.

    Of one bar that remains at an edge the stitch is shortened, or its neighbour lengthened over it (`edges`).
    `apart` is the bars between a line and its mate where they come nearest, `shift` the columns by which a
    ribbon's second line stands to the right of its first. `lengths` are those of Hungarian point: for each
    row of the cycle the bars of the line's groups in turn. `chart` is charted work, which has no line.
    `centre` is what stands in the middle column; `left` and `right` already follow from it.
    """

    family: Family
    over: int
    line: Line | None
    colours: tuple[str, ...]
    repeats: int | None
    left: int
    right: int
    at: At = field(repr=False, compare=False)
    edges: Literal["shorten", "lengthen"] = "shorten"
    apart: int = 0
    shift: int = 0
    lengths: tuple[tuple[int, ...], ...] = ()
    chart: Chart | None = None
    centre: Literal["", "peak", "valley", "between"] = ""

    @property
    def overs(self) -> tuple[int, ...]:
        """The bars that its whole stitches cross, the shortest first."""
        if self.chart:
            ends = zip(self.chart.x1, self.chart.y1, self.chart.x2, self.chart.y2, strict=True)
            return tuple(sorted({abs(x2 - x1) + abs(y2 - y1) for x1, y1, x2, y2 in ends}))
        if self.lengths:
            return tuple(sorted({bars for row in self.lengths for bars in row}))
        return (self.over,)


@dataclass(frozen=True, slots=True)
class Finish:
    """How a piece is made up; what a kind does not use is 0, "" or ().

    `corner` counts the overcast stitches in an outside corner hole. `overlap` is the empty columns at each
    end of a sleeve, laid over each other hole for hole. `kept_rows` empty hole rows stay above and below.
    `border_mm` of bare canvas is left on each side to hold. `allowance_mm` stays on each side: for a
    cushion's seam, or to be turned over a framed panel's board. `edges` are those of a box that are overcast.
    """

    kind: FinishKind
    colour: str
    corner: int
    overlap: int
    seam: Literal["", "bar"]
    kept_rows: int
    border_mm: float
    allowance_mm: float
    at: At = field(repr=False, compare=False)
    edges: tuple[Edge, ...] = ()


@dataclass(frozen=True, slots=True)
class Join:
    """Two edges sewn together hole for hole, `times` over in one kit; each end is (piece, edge)."""

    one: tuple[str, Edge]
    other: tuple[str, Edge]
    times: int
    colour: str
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class RoundObject:
    """A straight-sided round object that a sleeve goes round; `made_of` and `hazards` lead to cautions."""

    name: str
    made_of: str
    diameter_mm: float
    height_mm: float
    ease_mm: float
    tolerance_mm: float
    at: At = field(repr=False, compare=False)
    hazards: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Piece:
    """One different piece of a kit; `columns` and `rows` are the holes of its stitched area.

    `outline` is a shaped piece's first and last hole row in each column, (0, 0) where a column has no
    stitches; empty for the whole rectangle.
    """

    key: str
    title: str
    copies: int
    use: Use
    canvas: Canvas
    may_turn: bool
    pattern: Pattern
    columns: int
    rows: int
    finish: Finish
    goes_round: RoundObject | None
    at: At = field(repr=False, compare=False)
    outline: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Colour:
    """A palette entry: its thread, its name in print, and the character that stands for it on charts."""

    key: str
    name: str
    rgb: Rgb
    symbol: str
    symbol_name: str
    thread: Thread
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class PackedExtra:
    """So many of one extra in each box."""

    extra: Extra
    quantity: int
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class PackedNeedle:
    """So many needles of one size in each box."""

    needle: Needle
    quantity: int
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Answer:
    """What one colour took in a test stitch: `used_mm` lies in the work, tails and fastenings included.

    `starts` is how often it was begun anew, 0 where that was not counted.
    """

    colour: str
    stitches: int
    used_mm: float
    starts: int
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Trial:
    """The answers of a test-stitch sheet: one copy of a piece, worked without its seam and edge.

    `minutes` is 0 where the time was not taken.
    """

    edition: int
    piece: str
    date: str
    by: str
    hand: Hand
    minutes: int
    answers: tuple[Answer, ...]
    remarks: str
    at: At = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Kit:
    """A kit as it is sold: one code, one edition, one box. A colourway is a kit of its own.

    `toy` says whether it is sold as a toy or game, None where the maker said nothing. `gtin` is the number in
    its bar code, "" when it has none. `accepted` gives the reason for each warning code that the maker knows
    and wants. `house` is the workshop with the kit's own handling of thread, where it states any. `joins` are
    the edges that its pieces are sewn together at, `trials` its test stitches. `untested` is the reason
    to release it without one, "" where none is stated. `prices_minor` are its own prices by channel, `box` is
    what it is packed into, where that is said. `tariff_code` is the
    number under which customs know it, as its maker found it.
    """

    code: str
    title: str
    edition: int
    date: str
    age_grade: str
    policy: Policy
    about: str
    care: str
    pieces: tuple[Piece, ...]
    palette: tuple[Colour, ...]
    needles: tuple[PackedNeedle, ...]
    extras: tuple[PackedExtra, ...]
    price_minor: int
    gtin: str
    accepted: Mapping[str, str]
    house: House
    at: At = field(repr=False, compare=False)
    joins: tuple[Join, ...] = ()
    trials: tuple[Trial, ...] = ()
    toy: bool | None = None
    untested: str = ""
    box: BoxType | None = None
    prices_minor: Mapping[str, int] = field(default_factory=dict)
    licence: Licence | None = None
    tariff_code: str = ""

    def accepted_at(self, code: str) -> Place:
        """Where a warning code is accepted: in the colourway, or in its file."""
        own = (*self.at.path, "accept", code) in self.at.source.keys
        return (self.at if own else self.file).key("accept", code)

    def thread_at(self, name: str) -> Place:
        """Where a rule for thread is stated: in the kit itself, or in the workshop file."""
        file = self.file
        return file(name) if (name,) in file.source.values else self.house.at("thread", name)

    @property
    def file(self) -> At:
        """The address of the kit's whole file."""
        return At(self.at.source)

    def colour_index(self, key: str) -> int:
        """Place of a palette key in the palette's order, from 0."""
        return [colour.key for colour in self.palette].index(key)


@dataclass(frozen=True, slots=True)
class Range:
    """Everything in kits/: the kits in order of their codes, the classes, and what was read to get them.

    `digests` is the SHA-256 of the bytes of every file that was parsed, charts included.
    """

    kits: tuple[Kit, ...]
    materials: Materials
    house: House
    digests: Mapping[str, str]
    lessons: tuple[Lesson, ...] = ()

    @property
    def files(self) -> tuple[str, ...]:
        """The spec files that were read."""
        return tuple(file for file in self.digests if not file.endswith(".csv"))
