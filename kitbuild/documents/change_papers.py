"""The table of papers, pages and pictures with what is to be done with each of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from kitbuild.base.blocks import Table
from kitbuild.documents.wording import Wording
from kitbuild.production.papers import Paper


def papers_table(say: Wording, papers: Iterable[Paper]) -> Table:
    """One row for the files of a document in one language that need the same."""
    groups: dict[tuple[str, str, bool, str], list[str]] = {}
    for paper in papers:
        name = paper.document.split(".")[0]
        groups.setdefault((name, paper.language, paper.screen, paper.again), []).append(paper.file)
    rows = tuple(
        (_called(say, name), _files(say, files, language), _what(say, again, screen=screen))
        for (name, language, screen, again), files in groups.items()
    )
    header = tuple(say(f"edition.papers.{name}") for name in ("paper", "file", "what"))
    return Table(header, rows, (0.22, 0.46, 0.32), "lll")


def _called(say: Wording, name: str) -> str:
    """What a document is called; one that this version does not know is called by its file."""
    return say(f"edition.paper.{name}") if say.has(f"edition.paper.{name}") else name


def _what(say: Wording, again: str, *, screen: bool) -> str:
    return say(
        f"edition.papers.{again}.screen"
        if screen and again in ("again", "new")
        else f"edition.papers.{again}"
    )


def _files(say: Wording, files: Sequence[str], language: str) -> str:
    """The first file by its name, its other variants by their words: `x.pdf, also left, large`."""
    first, *others = files
    further = ", ".join(_words(file, language) for file in others)
    return say("edition.papers.files", file=first, further=further) if further else first


def _words(file: str, language: str) -> str:
    """What tells a file from the others of its document and language; its suffix where nothing else does."""
    _, *words, suffix = file.split(".")
    return ".".join(word for word in words if word != language) or suffix
