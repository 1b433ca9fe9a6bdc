"""What two checkers of tagged PDF, and one of its syntax, find in a file."""

from __future__ import annotations

from pathlib import Path

import pikepdf
from pdfua import validate

from tests.output.tag_check import faults

NOT_CLAIMED = {"UA-28-004"}
"""That a file does not claim PDF/UA: it must not."""
NOT_EVALUATED = {"UA-14-001"}
"""Empty headings: pdfua 0.1.3 fails at elements whose content is an array. tag_check looks at them."""


def unsound(data: bytes, folder: Path) -> list[str]:
    """What is wrong with a file, which is left as `file.pdf` in a folder; nothing where it is sound."""
    path = folder / "file.pdf"
    path.write_bytes(data)
    found, skipped = second_opinion(path)
    with pikepdf.open(path) as pdf:
        wrong = [*pdf.check_pdf_syntax(), *map(str, faults(pdf))]
    return [*wrong, *sorted(found ^ NOT_CLAIMED), *sorted(skipped - NOT_EVALUATED)]


def second_opinion(path: Path) -> tuple[set[str], set[str]]:
    """The rules of pdfua that find something, and those that it could not evaluate."""
    outcomes = validate(str(path)).outcomes
    found = {each.rule_id for each in outcomes if each.findings}
    return found, {each.rule_id for each in outcomes if each.skipped_reason}
