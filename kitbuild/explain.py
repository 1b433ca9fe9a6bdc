"""`kitbuild explain`: what a code means, with an example of the fault and of its cure."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from kitbuild.spec.codes import Entry, catalogue
from kitbuild.spec.words import nearest, shown

WIDTH = 88


def explained(code: str) -> str:
    """The entry of a code as text; KeyError for a code that there is not."""
    return "\n".join(_entry(catalogue()[code.upper()]))


def listed() -> str:
    """All codes with their titles, one a line."""
    return "\n".join(f"{code}  {entry.title}" for code, entry in catalogue().items())


def unknown(code: str) -> str:
    """What to say of a code that there is not."""
    wanted = code.upper()
    close = next((each for each in catalogue() if wanted and each.startswith(wanted)), "")
    close = close or nearest(wanted, catalogue())
    hint = f"did you mean {close}?" if close else "kitbuild explain lists them"
    return f"there is no code {shown(code)} ({hint})"


def _entry(entry: Entry) -> Iterator[str]:
    level = {"error": "", "warning": " (warning)", "either": " (error or warning)"}[entry.level]
    yield f"{entry.code}{level}: {entry.title}"
    yield ""
    yield textwrap.fill(entry.what, WIDTH)
    for name, text in (("Wrong", entry.wrong), ("Right", entry.right)):
        if text:
            yield f"\n{name}:\n"
            yield textwrap.indent(text.replace("\t", "<tab>").rstrip(), "    ")
