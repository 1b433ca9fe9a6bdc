"""The chart booklet: cover, contents, key, how to read, then each piece's charts."""

from __future__ import annotations

from collections.abc import Iterator

from kitbuild.base.blocks import Block, Figure, Grid, Heading, PageBreak, Paragraph, Table
from kitbuild.base.document import Document
from kitbuild.documents.chart_pages import line_pages, repeat_pages, whole_pages, whole_tiling
from kitbuild.documents.diagrams import one_stitch
from kitbuild.documents.glossary import glossary
from kitbuild.documents.job import Job
from kitbuild.documents.page_map import map_blocks
from kitbuild.documents.picture import picture
from kitbuild.documents.spoken_chart import spoken_chart
from kitbuild.documents.start_hole import first_way_text, start_hole_text
from kitbuild.documents.words import (
    area_shares,
    bars_text,
    contents,
    half_hours,
    is_sideways,
    line_kind,
    line_stitches,
    listed,
    patch,
    size_text,
)
from kitbuild.pattern.panel import Panel
from kitbuild.quantity.amounts import PieceAmounts


def booklet(job: Job, suffix: str = "") -> Document:
    """The chart booklet of one kit."""
    blocks = [*_cover(job), *_box(job), *_reading(job)]
    for at, each in enumerate(job.amounts.pieces):
        blocks += _piece(job, each, first=at == 0)
    return job.document("chart-booklet", "booklet", blocks, suffix)


def _cover(job: Job) -> Iterator[Block]:
    kit, say = job.kit, job.say
    yield Heading(1, job.own(kit.title))
    yield Paragraph(say("cover.edition", code=kit.code, edition=kit.edition, date=kit.date), style="lead")
    if kit.licence:
        yield Paragraph(job.own(kit.licence.credit))
    yield from cover_pictures(job)
    if kit.about:
        yield Paragraph(job.own(kit.about))
    yield Table((say("cover.fact"), say("cover.told")), tuple(_facts(job)), (0.3, 0.7), "ll")
    yield Paragraph(
        say("cover.maker", name=kit.house.name, address=kit.house.address, contact=kit.house.contact), "small"
    )


def cover_pictures(job: Job) -> Iterator[Figure]:
    """Each different piece as it will look; together they leave half a page, or more, to words."""
    pieces = job.amounts.pieces
    share = 0.3 if job.edition.large else 0.36 if job.edition.imposed else 0.46
    width, height = job.sheet.frame_width_mm * 0.92, job.sheet.frame_height_mm * share / len(pieces)
    for each in pieces:
        panel = each.panel
        alt = job.say(
            "picture.alt",
            piece=job.own(panel.piece.title),
            columns=panel.cover.columns,
            rows=panel.cover.rows,
        )
        edged = bool(panel.piece.finish.colour)
        caption = job.say("picture.caption", piece=job.own(panel.piece.title), edged=edged)
        yield picture(alt, panel, job.inks, width, height, caption)


def _facts(job: Job) -> Iterator[tuple[str, str]]:
    kit, say = job.kit, job.say
    for each in job.amounts.pieces:
        piece = each.panel.piece
        yield (say("fact.piece", piece=job.own(piece.title), copies=piece.copies), finished_text(job, each))
    canvases = {
        each.panel.piece.canvas.key: job.own(each.panel.piece.canvas.title) for each in job.amounts.pieces
    }
    yield (say("fact.canvas"), say("list.joiner").join(canvases.values()))
    stitches = sum(each.stitches * each.panel.piece.copies for each in job.amounts.pieces)
    yield (say("fact.stitches"), say("fact.stitches.text", stitches=stitches))
    yield (say("fact.hours"), say("fact.hours.text", hours=half_hours(job.amounts.hours)))
    yield (say("fact.age"), say("fact.age.text", grade=kit.age_grade))


def finished_text(job: Job, each: PieceAmounts) -> str:
    """The finished size; for a sleeve its way round and height."""
    if each.fit is None:
        return size_text(job, each.sizes.finished)
    around = each.panel.piece.goes_round
    return job.say(
        "fact.sleeve",
        around=each.fit.circumference_mm,
        height=each.sizes.finished.height_mm,
        object=job.own(around.name) if around else "",
        diameter=around.diameter_mm if around else 0,
        tall=around.height_mm if around else 0,
    )


def _box(job: Job) -> Iterator[Block]:
    say, house = job.say, job.kit.house
    yield PageBreak()
    yield Heading(2, say("contents.heading"))
    yield Paragraph(say("contents.text", contact=house.contact))
    yield contents(job)
    yield Heading(2, say("key.heading"))
    yield Paragraph(say("key.text"))
    yield key_table(job)


def key_table(job: Job) -> Table:
    """The colours: patch, symbol and name, thread, and needlefuls to work with."""
    say = job.say
    header = tuple(
        say(f"key.{column}") for column in ("colour", "symbol", "thread", "share", "needlefuls", "spare")
    )
    shares = area_shares(job)
    rows = tuple(
        (
            patch(job, use.colour.key),
            say(f"symbol.{use.colour.symbol_name}"),
            job.own(use.colour.thread.title),
            say("proof.percent", share=shares[job.kit.colour_index(use.colour.key)]),
            str(use.needlefuls),
            str(use.spare),
        )
        for use in job.amounts.uses
    )
    return Table(
        header,
        rows,
        (0.22, 0.13, 0.29, 0.1, 0.14, 0.12),
        "lllrrr",
        caption=_key_caption(job),
    )


def _key_caption(job: Job) -> str:
    strands = max(colour.thread.strands for colour in job.kit.palette)
    edged = any(piece.finish.colour for piece in job.kit.pieces)
    return job.say("key.caption", needleful=job.kit.house.thread.needleful_mm, strands=strands, edged=edged)


def _reading(job: Job) -> Iterator[Block]:
    say = job.say
    yield PageBreak()
    yield Heading(2, say("reading.heading"))
    pieces = job.amounts.pieces
    over = max(each.panel.piece.pattern.overs[-1] for each in pieces)
    sideways = any(is_sideways(each.panel.stitches) for each in pieces)
    words = (
        Paragraph(say("reading.square")),
        Paragraph(say("reading.over", over=over)),
        *(Paragraph(_lengths_text(job, each.panel)) for each in pieces),
        Paragraph(say("reading.share", sideways=sideways)),
    )
    yield Grid((0.36, 0.64), ((one_stitch(job, over),), words))
    tiled = any(len(whole_tiling(job, each.panel).tiles) > 1 for each in job.amounts.pieces)
    yield Paragraph(say("reading.marks", tiled=tiled))
    yield from map(Paragraph, _edges_texts(job))
    yield Paragraph(say("reading.scale"))
    yield from glossary(job)


def _lengths_text(job: Job, panel: Panel) -> str:
    """Over how many bars a piece is worked, and whether some of its stitches are shorter or longer."""
    overs, lengths = panel.piece.pattern.overs, panel.stitches.length()
    return job.say(
        "reading.piece",
        piece=job.own(panel.piece.title),
        bars=bars_text(job, overs),
        kind=line_kind(panel),
        shorter=int(lengths.min()) < overs[0],
        longer=int(lengths.max()) > overs[-1],
    )


def _edges_texts(job: Job) -> Iterator[str]:
    """What the lines round the whole charts mean, once for all pieces of which the same is said."""
    alike: dict[str, list[PieceAmounts]] = {}
    for each in job.amounts.pieces:
        alike.setdefault(edges_text(job, each, ""), []).append(each)
    for pieces in alike.values():
        names = [job.own(each.panel.piece.title) for each in pieces]
        yield edges_text(job, pieces[0], listed(job, names))


def edges_text(job: Job, each: PieceAmounts, name: str | None = None) -> str:
    """What the lines round a whole chart mean: where canvas is trimmed, and where a sleeve is sewn.

    `name` stands for the piece, or for several that are alike.
    """
    piece = each.panel.piece
    lines = job.say(
        "reading.edges",
        piece=job.own(piece.title) if name is None else name,
        kind=piece.finish.kind,
        shaped=bool(piece.outline),
        columns=piece.finish.overlap,
        rows=piece.finish.kept_rows,
        allowance=piece.finish.allowance_mm,
    )
    return f"{lines} {job.say('reading.parts')}" if piece.outline else lines


def _piece(job: Job, each: PieceAmounts, *, first: bool) -> Iterator[Block]:
    piece, say = each.panel.piece, job.say
    if not first:
        yield PageBreak()
    yield Heading(1, say("piece.heading", piece=job.own(piece.title), copies=piece.copies))
    yield Heading(2, say("start.heading"))
    yield Paragraph(f"{start_hole_text(job, each)} {first_way_text(job, each)}")
    yield from map_blocks(job, each)
    sideways = is_sideways(line_stitches(each.panel))
    yield Heading(
        2, say("line.heading", piece=job.own(piece.title), kind=line_kind(each.panel), sideways=sideways)
    )
    yield from line_pages(job, each)
    if each.panel.repeat.count > 1:
        yield Heading(2, say("repeat.heading", piece=job.own(piece.title)))
        yield from repeat_pages(job, each)
    yield from whole_pages(job, each)
    if job.sheet.endless:
        yield from spoken_chart(job, each.panel)
