"""Records from checked data: the kits of a kit file, one for each colourway."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from kitbuild.base.glyphs import SYMBOLS
from kitbuild.base.units import money_minor
from kitbuild.spec.charts import ChartFile, chart_of_entries, chart_of_file
from kitbuild.spec.check import Checked
from kitbuild.spec.columns import Layout, Misfit, layout_of
from kitbuild.spec.draft import Sold, pieces, sold
from kitbuild.spec.formats import (
    read_bars,
    read_canvas_length,
    read_length,
    read_piece_edge,
    read_share,
    read_span,
)
from kitbuild.spec.house import House
from kitbuild.spec.lines import shape
from kitbuild.spec.make_trade import licence_record, own_prices
from kitbuild.spec.materials import Materials
from kitbuild.spec.outlines import SHAPES, Outline
from kitbuild.spec.piece import Finish, Join, Line, Pattern, Piece, RoundObject
from kitbuild.spec.records import Answer, Colour, Kit, PackedExtra, PackedNeedle, Trial
from kitbuild.spec.source import At


def kit_records(
    file: Checked,
    materials: Materials,
    house: House,
    charts: Mapping[str, ChartFile],
    trials: Mapping[str, tuple[Trial, ...]],
) -> Iterator[Kit]:
    """The kits of one file that has no fault; `trials` by the code of their kit."""
    data = file.data
    made = tuple(_piece(str(at.path[-1]), piece, at, materials, charts) for piece, at in pieces(file))
    needles = tuple(
        PackedNeedle(materials.needles[key], quantity, file.at.below("needles", key))
        for key, quantity in data["needles"].items()
    )
    extras = tuple(
        PackedExtra(materials.extras[key], quantity, file.at.below("extras", key))
        for key, quantity in data["extras"].items()
    )
    joins = tuple(_join(join, file.at.below("joins", number)) for number, join in enumerate(data["joins"]))
    for one in sold(file):
        said = {**data, **one.data}
        yield Kit(
            code=one.code,
            title=said["title"],
            edition=data["edition"],
            date=data["date"],
            age_grade=data["age_grade"],
            policy=data["policy"],
            about=said.get("about", "").strip(),
            care=said.get("care", "").strip(),
            pieces=made,
            palette=_palette(one, materials),
            needles=needles,
            extras=extras,
            price_minor=money_minor(str(said["price"]), house.currency),
            gtin=one.data.get("gtin", ""),
            accepted=MappingProxyType({**data["accept"], **one.data["accept"]}),
            house=own_house(data, house),
            at=one.at,
            joins=joins,
            trials=trials.get(one.code, ()),
            toy=data.get("toy"),
            untested=data.get("untested", ""),
            tariff_code=data.get("tariff_code", ""),
            box=house.boxes[data["box"]] if "box" in data else None,
            prices_minor=own_prices(one.data, house.currency),
            licence=licence_record(data, file.at, house.currency),
        )


def trial_record(file: Checked) -> tuple[str, Trial]:
    """The code of the kit that was test-stitched, and the answers, from a file that has no fault."""
    data = file.data
    answers = tuple(
        Answer(
            colour=key,
            stitches=answer["stitches"],
            used_mm=read_length(answer["used"]),
            starts=answer.get("starts", 0),
            at=file.at.below("thread", key),
        )
        for key, answer in data["thread"].items()
    )
    trial = Trial(
        edition=data["edition"],
        piece=data["piece"],
        date=data["date"],
        by=data.get("by", ""),
        hand=data["hand"],
        minutes=data.get("minutes", 0),
        answers=answers,
        remarks=data.get("remarks", "").strip(),
        at=file.at,
    )
    return data["kit"], trial


def own_house(data: Mapping[str, Any], house: House) -> House:
    """The workshop, with the kit's own handling of thread and cost of setting up, where it states them."""
    own: dict[str, Any] = {}
    for name in ("needleful", "longest_run"):
        if name in data:
            own[f"{name}_mm"] = read_length(data[name])
    if "spare" in data:
        own["spare_share"] = read_share(data["spare"])
    if "spare_for" in data:
        own["spare_for"] = tuple(data["spare_for"])
    if "park" in data:
        own["park"] = data["park"]
    trade = house.trade
    if "setup_cost" in data:
        trade = replace(trade, setup_cost_minor=money_minor(str(data["setup_cost"]), house.currency))
    return replace(house, thread=replace(house.thread, **own), trade=trade)


def _palette(one: Sold, materials: Materials) -> tuple[Colour, ...]:
    """Colours in written order; those without a symbol take the first ones that nobody asked for."""
    stated = {colour["symbol"] for colour in one.palette.values() if "symbol" in colour}
    free = iter([name for name in SYMBOLS if name not in stated])
    return tuple(
        _colour(key, data, data.get("symbol") or next(free), one.at.below("palette", key), materials)
        for key, data in one.palette.items()
    )


def _colour(key: str, data: Mapping[str, Any], symbol: str, at: At, materials: Materials) -> Colour:
    thread = materials.threads[data["thread"]]
    return Colour(key, data.get("name", thread.colour_name), thread.rgb, SYMBOLS[symbol], symbol, thread, at)


def _join(data: Mapping[str, Any], at: At) -> Join:
    one, other = read_piece_edge(data["one"]), read_piece_edge(data["other"])
    return Join(one, other, data["times"], data["with"], at)  # type: ignore[arg-type]


def _piece(
    key: str, data: Mapping[str, Any], at: At, materials: Materials, charts: Mapping[str, ChartFile]
) -> Piece:
    groups = shape(data["pattern"]["line"]).groups if "line" in data["pattern"] else ()
    layout = layout_of(data, groups)
    if isinstance(layout, Misfit):
        raise AssertionError("the layout was checked by a rule")
    around, canvas = data.get("goes_round"), materials.canvases[data["canvas"]]
    outline = _outline(data.get("outline"), layout.columns, data["rows"])
    return Piece(
        key=key,
        title=data["title"],
        copies=data["copies"],
        use=data["use"],
        canvas=canvas,
        may_turn=data["may_turn"],
        pattern=_pattern(data["pattern"], layout, outline, charts, at.below("pattern")),
        columns=layout.columns,
        rows=data["rows"],
        finish=_finish(data["finish"], canvas.pitch_mm, at.below("finish")),
        goes_round=_round_object(around, at.below("goes_round")) if around else None,
        at=at,
        outline=outline,
    )


def _outline(data: Mapping[str, Any] | None, columns: int, rows: int) -> Outline:
    """First and last hole row of each column; empty for a rectangle."""
    if data is None:
        return ()
    if "spans" in data:
        return tuple(read_span(span) for span in data["spans"])
    return SHAPES[data["shape"]](columns, rows)


def _pattern(
    data: Mapping[str, Any], layout: Layout, outline: Outline, charts: Mapping[str, ChartFile], at: At
) -> Pattern:
    found = shape(data["line"]) if "line" in data else None
    chart, colours = None, tuple(data.get("rings") or data.get("colours") or ())
    if "chart_file" in data:
        chart, colours = chart_of_file(charts[data["chart_file"]])
    elif "chart" in data:
        tops = [first or 1 for first, _ in outline]
        chart, colours = chart_of_entries(data["chart"], tops, at.below("chart"))
    return Pattern(
        family=data["family"],
        over=data.get("over", 0),
        line=Line(found.groups, found.drift, at.below("line")) if found else None,
        colours=colours,
        repeats=data.get("repeats"),
        left=layout.left,
        right=layout.right,
        at=at,
        edges=data["edges"],
        apart=data["apart"],
        shift=data["shift"],
        lengths=tuple(read_bars(row) for row in data.get("lengths", ())),
        chart=chart,
        centre=data.get("centre", ""),
    )


def _finish(data: Mapping[str, Any], pitch_mm: float, at: At) -> Finish:
    """A finish; the defaults of the schema count only for the kinds that know their key."""
    kind = data["kind"]
    sleeve = kind == "sleeve"
    return Finish(
        kind=kind,
        colour=data.get("edge", ""),
        corner=data["corner"] if kind in ("flat", "box", "ornament") else 0,
        overlap=data["overlap"] if sleeve else 0,
        seam=data["seam"] if sleeve else "",
        kept_rows=data["kept_rows"] if sleeve else 0,
        border_mm=read_canvas_length(data["border"], pitch_mm),
        allowance_mm=read_canvas_length(data["allowance"], pitch_mm),
        at=at,
        edges=tuple(data["edges"]) if kind == "box" else (),
    )


def _round_object(data: Mapping[str, Any], at: At) -> RoundObject:
    return RoundObject(
        name=data["object"],
        made_of=data["made_of"],
        diameter_mm=read_length(data["diameter"]),
        height_mm=read_length(data["height"]),
        ease_mm=read_length(data["ease"]),
        tolerance_mm=read_length(data["tolerance"]),
        at=at,
        hazards=tuple(data["hazards"]),
    )
