"""The range as the page last saw it: read anew at each change, the last good state kept beside faults."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from threading import RLock

from kitbuild.base.problem import Expected, Problem, errors
from kitbuild.build import Made, judged, make, sources, speaking
from kitbuild.documents.job import Job
from kitbuild.documents.made_up import made_up
from kitbuild.output.scene_svg import render_svg
from kitbuild.report import record
from kitbuild.spec.folder import Remembered, codes, read_range
from kitbuild.spec.records import Hand, Kit
from kitbuild.view.snapshot import Json, snapshot, walk


class Unknown(KeyError):
    """No such kit, piece, document or page."""


@dataclass(frozen=True, eq=False)
class Good:
    """A kit that could be built, and what of it has been asked for."""

    version: str
    job: Job

    @cached_property
    def picture(self) -> Json:
        """The kit as the page draws it."""
        return snapshot(self.job)

    @cached_property
    def made_up(self) -> bytes:
        """The kit as it is used, as SVG."""
        return render_svg(made_up(self.job))

    @cached_property
    def made(self) -> Made:
        """All its documents in the first language."""
        return make(self.job.kit, (), self.job.say)


@dataclass(frozen=True, slots=True)
class Seen:
    """A kit as it is now: its problems, and how it looked when it could last be built."""

    code: str
    version: str
    problems: tuple[Problem, ...]
    good: Good | None

    @property
    def current(self) -> bool:
        """Whether what is shown is what the files say."""
        return self.good is not None and self.good.version == self.version and not errors(self.problems)


class Range:
    """All kits of a folder. Every method may be called from several threads."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._lock = RLock()
        self._kits: dict[str, Kit] = {}
        self._codes: frozenset[str] = frozenset()
        self._found: tuple[Problem, ...] = ()
        self._seen: dict[str, Seen] = {}
        self._reader = Remembered()
        self.refresh()

    def refresh(self) -> None:
        """Read the folder anew; kits are built only when they are asked for."""
        with self._lock:
            kits, self._found = read_range(self.folder, reader=self._reader)
            self._codes = codes(self.folder, self._reader)
            if kits:
                self._kits = {kit.code: kit for kit in kits.kits}
            if kits and not errors(self._found):
                self._seen = {code: each for code, each in self._seen.items() if code in self._kits}

    def listed(self) -> Json:
        """All kits by code, also those that are only remembered, with title and file; and all errors."""
        with self._lock:
            seen = {code: each.good.job.kit for code, each in self._seen.items() if each.good}
            kits = dict.fromkeys(self._codes) | seen | self._kits
            return {
                "kits": [
                    {
                        "code": code,
                        "title": kit.title if kit else "cannot be built yet",
                        "file": kit.at.source.file if kit else "",
                    }
                    for code, kit in sorted(kits.items())
                ],
                "problems": [record(problem) for problem in errors(self._found)],
            }

    def kit(self, code: str) -> bytes:
        """A kit as JSON: its problems, and how it looks or last looked."""
        seen = self._see(code)
        told = {
            "code": code,
            "current": seen.current,
            "version": seen.good.version if seen.good else "",
            "problems": [record(problem) for problem in seen.problems],
            "kit": seen.good.picture if seen.good else None,
        }
        return json.dumps(told, separators=(",", ":")).encode()

    def order(self, code: str, piece: str, hand: Hand) -> Json:
        """The order of work of a piece."""
        for each in self._good(code).job.amounts.pieces:
            if each.panel.piece.key == piece:
                return walk(each.thread.works[hand])
        raise Unknown(piece)

    def made_up(self, code: str) -> bytes:
        """A kit as it is used, as SVG."""
        return self._good(code).made_up

    def made(self, code: str) -> Made:
        """All documents of a kit, made when they are first asked for."""
        with self._lock:
            return self._good(code).made

    def _good(self, code: str) -> Good:
        good = self._see(code).good
        if good is None:
            raise Unknown(code)
        return good

    def _see(self, code: str) -> Seen:
        with self._lock:
            kit, seen = self._kits.get(code), self._seen.get(code)
            if kit is None and seen is None and code not in self._codes:
                raise Unknown(code)
            version = _version(kit, self._found) if kit else "withheld"
            if seen is None or seen.version != version:
                seen = self._built(code, kit, version, seen.good if seen else None)
                self._seen[code] = seen
            return seen

    def _built(self, code: str, kit: Kit | None, version: str, last: Good | None) -> Seen:
        """The kit built anew; with what went wrong and the last good one where that fails."""
        broken = errors(self._found)
        if kit is None:
            return Seen(code, version, broken, last)
        files = sources(kit)
        mine = tuple(each for each in self._found if each.warning and each.place.file in files)
        try:
            job = judged(kit, mine, speaking(kit))
        except Expected as expected:
            return Seen(code, version, tuple(sorted({*expected.problems, *broken})), last)
        problems = tuple(sorted({*job.judgement.warnings, *broken}))
        return Seen(code, version, problems, Good(version, job))


def _version(kit: Kit, found: tuple[Problem, ...]) -> str:
    """What tells two states of a kit and of its problems apart."""
    digest = hashlib.sha256()
    for name, content in sorted(sources(kit).items()):
        digest.update(f"{name} {len(content)}\n".encode() + content)
    digest.update("\n".join(map(str, errors(found))).encode())
    return digest.hexdigest()[:16]
