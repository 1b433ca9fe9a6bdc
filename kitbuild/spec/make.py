"""Records from checked data: the workshop and its materials.

Everything here is certain: what could fail was told by the schemas and the rules before.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, Literal

from kitbuild.base.colour import parse_rgb
from kitbuild.base.units import MM_PER_INCH, down, money_minor
from kitbuild.spec.check import Checked
from kitbuild.spec.formats import (
    read_exact_length,
    read_film,
    read_length,
    read_measures,
    read_share,
    read_sheet,
)
from kitbuild.spec.house import House, Labels, LabelStock, ThreadRules, Words
from kitbuild.spec.make_trade import replacement_record, trade_record
from kitbuild.spec.materials import Bag, Canvas, Extra, Materials, Needle, Part, Stock, Supplier, Thread
from kitbuild.spec.packing import box_type, weighing, weight_mg
from kitbuild.spec.source import At


def house_record(file: Checked, wordings: tuple[Checked, ...] = ()) -> House:
    """The workshop, from its file and the files of its own words."""
    data, currency = file.data, file.data["currency"]
    return House(
        name=data["name"],
        address=tuple(data["address"]),
        contact=data["contact"],
        languages=tuple(dict.fromkeys((data["language"], *data["also_in"]))),
        papers=tuple(data["papers"]),
        editions=tuple(data["editions"]),
        currency=currency,
        thread=_thread_rules(data["thread"]),
        longest_stitch_mm=MappingProxyType(
            {use: read_length(length) for use, length in data["longest_stitch"].items()}
        ),
        stitches_per_hour=float(data["pace"]["stitches_per_hour"]),
        finish_stitches_per_hour=float(data["pace"]["finish_stitches_per_hour"]),
        packing_minutes=float(data["packing"]["minutes"]),
        packing_wage_minor=money_minor(str(data["packing"]["wage"]), currency),
        booklet_cost_minor=money_minor(str(data["printing"]["booklet"]), currency),
        sheet_cost_minor=money_minor(str(data["printing"]["sheet"]), currency),
        printed_bin=data["printing"]["bin"],
        at=file.at,
        words=tuple(_words(each) for each in wordings),
        labels=_labels(data.get("labels", {})),
        boxes=MappingProxyType(
            {key: box_type(key, part, file.at.below("boxes", key)) for key, part in data["boxes"].items()}
        ),
        weighing=weighing(data.get("weighing")),
        booklet_weight_mg=weight_mg(data["printing"], "booklet_weight"),
        sheet_weight_mg=weight_mg(data["printing"], "sheet_weight"),
        trade=trade_record(data, currency),
    )


def _labels(data: Mapping[str, Any]) -> Labels:
    stocks = {name: label_stock(data[name]) for name in ("box", "bundle") if name in data}
    return Labels(data.get("paper", ""), data.get("origin", ""), **stocks)


def label_stock(data: Mapping[str, Any]) -> LabelStock:
    """A sheet of labels as it was written."""
    names = ("width", "height", "left", "top", "gap_across", "gap_down")
    lengths = (read_length(data.get(name, "0 mm")) for name in names)
    return LabelStock(data["columns"], data["rows"], *lengths)


def _words(file: Checked) -> Words:
    data = file.data
    sentences, own, plurals = (MappingProxyType(data[name]) for name in ("sentences", "own", "plurals"))
    return Words(data["language"], sentences, own, plurals, file.at)


def _thread_rules(data: Mapping[str, Any]) -> ThreadRules:
    return ThreadRules(
        needleful_mm=read_length(data["needleful"]),
        start_tail_mm=read_length(data["start_tail"]),
        run_under_mm=read_length(data["run_under"]),
        held_mm=read_length(data["held"]),
        longest_run_mm=read_length(data["longest_run"]),
        least_remainder_mm=read_length(data["least_remainder"]),
        spare_share=read_share(data["spare"]),
        park=data["park"],
        spare_for=tuple(data["spare_for"]),
    )


def materials_record(files: tuple[Checked, ...], currency: str) -> Materials:
    """All materials of the range, file by file, each in the order it is written."""
    canvases: dict[str, Canvas] = {}
    threads: dict[str, Thread] = {}
    needles: dict[str, Needle] = {}
    extras: dict[str, Extra] = {}
    suppliers: dict[str, Supplier] = {}
    for file in files:
        for key, data in file.data["canvases"].items():
            canvases[key] = _canvas(key, data, file.at.below("canvases", key), currency)
        for key, data in file.data["threads"].items():
            threads[key] = _thread(key, data, file.at.below("threads", key), currency)
        for key, data in file.data["needles"].items():
            needles[key] = _needle(key, data, file.at.below("needles", key), currency)
        for key, data in file.data["extras"].items():
            extras[key] = _extra(key, data, file.at.below("extras", key), currency)
        for key, data in file.data["suppliers"].items():
            minimum_minor = money_minor(str(data["minimum"]), currency)
            at = file.at.below("suppliers", key)
            suppliers[key] = Supplier(key, data["title"], minimum_minor, at)
    canvases = {key: _with_pitch(canvas, canvases) for key, canvas in canvases.items()}
    return Materials(*map(MappingProxyType, (canvases, threads, needles, extras, suppliers)))  # type: ignore[arg-type]


def _with_pitch(old: Canvas, canvases: Mapping[str, Canvas]) -> Canvas:
    """A canvas that knows the pitch of the one that takes its place."""
    if old.replaced_by is None:
        return old
    pitch_mm = canvases[old.replaced_by.key].pitch_mm
    return replace(old, replaced_by=replace(old.replaced_by, pitch_mm=pitch_mm))


def exchanged(materials: Materials, instead: Mapping[str, str]) -> Materials:
    """Materials in which one stands under another's key: `instead` leads from a key to what stands there."""
    threads = {key: materials.threads[instead.get(key, key)] for key in materials.threads}
    canvases = {key: materials.canvases[instead.get(key, key)] for key in materials.canvases}
    return replace(materials, threads=MappingProxyType(threads), canvases=MappingProxyType(canvases))


def _bought(data: Mapping[str, Any]) -> dict[str, Any]:
    """Who sells a material, in which multiples, and what one of it weighs."""
    supplier, multiple = data.get("supplier", ""), data["order_multiple"]
    return {"supplier": supplier, "order_multiple": multiple, "weight_mg": weight_mg(data)}


def _canvas(key: str, data: Mapping[str, Any], at: At, currency: str) -> Canvas:
    measured = "measured_pitch" in data
    pitch_mm = read_length(data["measured_pitch"]) if measured else MM_PER_INCH / float(data["count"])
    stock = (
        _stock(name, part, pitch_mm, at.below("stock", name), currency)
        for name, part in data["stock"].items()
    )
    return Canvas(
        key=key,
        title=data["title"],
        weave=data["weave"],
        count=float(data["count"]),
        pitch_mm=pitch_mm,
        measured=measured,
        thickness_mm=read_length(data["thickness"]),
        bar_mm=read_length(data["bar"]),
        kerf=data["kerf"],
        bin=data["bin"],
        stock=tuple(stock),
        at=at,
        stages=data["stages"],
        replaced_by=replacement_record(data, at),
    )


def _stock(key: str, data: Mapping[str, Any], pitch_mm: float, at: At, currency: str) -> Stock:
    form: Literal["sheet", "roll"] = "roll" if "roll" in data else "sheet"
    if form == "roll":
        columns, rows = (down(read_length(data[name]) / pitch_mm) for name in ("roll", "length"))
        title = f"Roll, {data['roll']} wide, {data['length']} long"
    else:
        columns, rows = read_sheet(data["sheet"])
        title = f"Sheet of {columns} x {rows} holes"
    cost_minor = money_minor(str(data["cost"]), currency)
    return Stock(
        key, data.get("title", title), form, columns, rows, cost_minor, data["bin"], at, **_bought(data)
    )


def _thread(key: str, data: Mapping[str, Any], at: At, currency: str) -> Thread:
    return Thread(
        key=key,
        title=data["title"],
        fibre=data["fibre"],
        rgb=parse_rgb(data["colour"]),
        colour_name=data["colour_name"],
        put_up=data["put_up"],
        put_up_mm=read_length(data["put_up_length"]),
        thickness_mm=read_length(data["thickness"]),
        bend_mm=read_length(data["bend"]),
        plies=data["plies"],
        strands=data["strands"],
        cost_minor=money_minor(str(data["cost"]), currency),
        bin=data["bin"],
        at=at,
        bend_spread_mm=read_length(data["bend_spread"]),
        packed=data["packed"],
        colour_tested=data["colour_tested"],
        replaced_by=replacement_record(data, at),
        **_bought(data),
    )


def _needle(key: str, data: Mapping[str, Any], at: At, currency: str) -> Needle:
    cost_minor = money_minor(str(data["cost"]), currency)
    length_mm = read_length(data["length"]) if "length" in data else None
    return Needle(key, data["title"], data["size"], cost_minor, data["bin"], at, length_mm, **_bought(data))


def _extra(key: str, data: Mapping[str, Any], at: At, currency: str) -> Extra:
    return Extra(
        key=key,
        title=data["title"],
        unit=data["unit"],
        made_of=tuple(data["made_of"]),
        hazards=tuple(data["hazards"]),
        cost_minor=money_minor(str(data["cost"]), currency),
        bin=data["bin"],
        at=at,
        parts=tuple(Part(part["shape"], read_measures(part["size"])) for part in data["parts"]),
        bag=_bag(data["bag"]) if "bag" in data else None,
        **_bought(data),
    )


def _bag(data: Mapping[str, Any]) -> Bag:
    opening, flat_width = (
        read_exact_length(data[name]) if name in data else None for name in ("opening", "flat_width")
    )
    length, width = (read_exact_length(data[name]) for name in ("length", "width"))
    return Bag(opening, flat_width, read_film(data["thickness"]), length, width)
