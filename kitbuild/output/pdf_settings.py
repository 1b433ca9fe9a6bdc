"""reportlab as it is delivered, whatever the machine's settings and environment say."""

from __future__ import annotations

import os
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from reportlab import rl_config, rl_settings
from reportlab.pdfbase import pdfdoc

#: Where we differ from reportlab's own defaults: equal bytes, and no ASCII armour (a fifth of the size).
OURS: Final[dict[str, object]] = {"invariant": 1, "useA85": 0, "verbose": 0}

#: zlib's level: half the time of its usual 6, for an eighth more bytes (measured on a kit's documents).
LEVEL: Final = 3

_DATE: Final = "SOURCE_DATE_EPOCH"


class Packed(pdfdoc.PDFStreamFilterZCompress):
    """reportlab's own compression of streams, at our level."""

    def encode(self, text: bytes | str) -> bytes:
        """The bytes of a stream, packed."""
        return zlib.compress(text.encode() if isinstance(text, str) else text, LEVEL)


PACKED: Final = Packed()


@contextmanager
def neutral_settings() -> Iterator[None]:
    """Within it, `rl_config` and the environment hold nothing that could change a file."""
    wanted = {name: getattr(rl_settings, name) for name in rl_settings.__all__} | OURS
    before = {name: getattr(rl_config, name) for name in wanted if hasattr(rl_config, name)}
    epoch = os.environ.pop(_DATE, None)
    vars(rl_config).update({name: wanted[name] for name in before})
    usual, pdfdoc.PDFZCompress = pdfdoc.PDFZCompress, PACKED
    try:
        yield
    finally:
        vars(rl_config).update(before)
        pdfdoc.PDFZCompress = usual
        if epoch is not None:
            os.environ[_DATE] = epoch
