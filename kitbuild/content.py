"""What is printed, as one digest: equal digests are drawn as equal bytes by the same program."""

from __future__ import annotations

import hashlib
import io
import pickle
from typing import Final

PROTOCOL: Final = 5


def content_digest(value: object) -> str:
    """SHA-256 of a value of frozen records, tuples, numbers, texts and arrays; it must hold no circle.

    Every part is written in full (`fast`), so that it does not matter which parts are one object.
    """
    written = io.BytesIO()
    pickler = pickle.Pickler(written, PROTOCOL)
    pickler.fast = True
    pickler.dump(value)
    return hashlib.sha256(written.getbuffer()).hexdigest()
