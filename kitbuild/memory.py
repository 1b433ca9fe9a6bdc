"""What is remembered of a kit beside its outputs: what they were made of, and what each of them shows."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Final, NamedTuple

from kitbuild.output.files import explained, replace_file
from kitbuild.own import Own
from kitbuild.stamp import KEPT, MANIFEST, Row, manifest_digests, sealed, unsealed

FORM: Final = 1
KITS: Final = "kits"


class Memory(NamedTuple):
    """One kit as it was made: the tool's parts, the `key` of all inputs, and the inputs by name.

    `manifest` is the digest of the manifest that was written with it, `contents` that of what each output
    shows. `left` and `accepted` are the warnings.
    """

    own: Own
    key: str
    parts: Mapping[str, str]
    manifest: str
    contents: Mapping[str, str]
    left: tuple[Row, ...]
    accepted: tuple[Row, ...]

    @property
    def placed(self) -> bool:
        """Whether places in spec files are told in its outputs: those of its warnings."""
        return bool(self.left or self.accepted)


class Standing(NamedTuple):
    """The folder of a kit as it stands: its manifest and the digests that this says its outputs have.

    `memory` is None where there is none, or is not of this manifest; `new` says that there is neither.
    """

    new: bool
    manifest: bytes
    digests: Mapping[str, str]
    memory: Memory | None


def standing(out: Path, code: str) -> Standing:
    """What was built of a kit before."""
    manifest = b""
    with suppress(OSError):
        manifest = (out / code / MANIFEST).read_bytes()
    memory = _read(out, code)
    new = memory is None and not manifest
    if memory and memory.manifest != hashlib.sha256(manifest).hexdigest():
        memory = None
    return Standing(new, manifest, manifest_digests(manifest), memory)


def remember(out: Path, code: str, memory: Memory) -> None:
    """Keep what is to be known of a kit; WriteProblem when it cannot be written."""
    data = {"form": FORM, **memory._asdict(), "own": memory.own._asdict()}
    path = _path(out, code)
    with explained(path.parent):
        path.parent.mkdir(parents=True, exist_ok=True)
    replace_file(path, sealed(json.dumps(data, separators=(",", ":")).encode("ascii")))


def forget(out: Path, code: str) -> None:
    """Remember nothing more of a kit."""
    _path(out, code).unlink(missing_ok=True)


def remembered(out: Path) -> tuple[str, ...]:
    """The codes of all kits that something is remembered of."""
    return tuple(sorted(path.stem for path in (out / KEPT / KITS).glob("[!.]*.json")))


def _path(out: Path, code: str) -> Path:
    return out / KEPT / KITS / f"{code}.json"


def _read(out: Path, code: str) -> Memory | None:
    try:
        data = json.loads(unsealed(_path(out, code).read_bytes()))
        if data.pop("form") != FORM:
            return None
        return Memory(own=Own(**data.pop("own")), **data)
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None
