"""What is wrong with the fonts of a PDF: faces not embedded, codes that show no glyph of their own."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from io import BytesIO
from pathlib import Path

import pikepdf
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont

from tests.output.reading import open_pdf, unicode_of

FONTS = Path(__file__).parents[2] / "kitbuild" / "fonts"


def wrong_fonts(data: bytes) -> list[str]:
    """Fonts that a page must look for elsewhere, by name; any mention of Helvetica."""
    pdf = open_pdf(data)
    fonts = [each for each in pdf.objects if isinstance(each, pikepdf.Dictionary) and _is_font(each)]
    named = ["Helvetica"] if b"Helvetica" in data else []
    bare = [str(font.BaseFont) for font in fonts if "/FontFile2" not in font.get("/FontDescriptor", {})]
    return named + bare if fonts else ["no font at all"]


def _is_font(each: pikepdf.Dictionary) -> bool:
    return each.get("/Type") == "/Font"


def wrong_glyphs(data: bytes) -> list[str]:
    """Characters that are shown by another outline than the shipped face has for them: boxes, above all."""
    found = set()
    for font, code in _shown(open_pdf(data)):
        char = unicode_of(font).get(code, "")
        name = "Bold" if "Bold" in str(font.BaseFont) else ""
        ours = _outline(_face(name), char)
        if ours is None or ours != _drawn(font, code):
            found.add(f"{char!r} in {font.BaseFont}")
    return sorted(found)


def _shown(pdf: pikepdf.Pdf) -> Iterator[tuple[pikepdf.Object, int]]:
    """Each font and code that a page, or a form on it, shows."""
    for page in pdf.pages:
        forms = [form for form in page.Resources.get("/XObject", {}).values() if "/Resources" in form]
        for stream in (page.obj, *forms):
            fonts = stream.Resources.get("/Font", page.Resources.get("/Font"))
            name = ""
            codes: set[tuple[str, int]] = set()
            for operands, operator in pikepdf.parse_content_stream(stream, "Tf Tj"):
                if str(operator) == "Tf":
                    name = str(operands[0])
                else:
                    codes |= {(name, code) for code in bytes(operands[0])}
            yield from ((fonts[name], code) for name, code in sorted(codes))


@cache
def _face(name: str) -> TTFont:
    return TTFont(FONTS / f"DejaVuSans{'-' + name if name else ''}-subset.ttf")


def _outline(face: TTFont, char: str) -> list | None:
    """A character's outline in the shipped face; None where it has none."""
    name = face.getBestCmap().get(ord(char)) if len(char) == 1 else None
    return _recorded(face, name) if name else None


def _drawn(font: pikepdf.Object, code: int) -> list:
    """What a code of an embedded subset draws."""
    face = _embedded(font.FontDescriptor.FontFile2.read_bytes())
    tables = [table.cmap for table in face["cmap"].tables]
    name = next((cmap[code] for cmap in tables if code in cmap), ".notdef")
    return _recorded(face, name)


@cache
def _embedded(content: bytes) -> TTFont:
    return TTFont(BytesIO(content))


def _recorded(face: TTFont, name: str) -> list:
    glyphs = face.getGlyphSet()
    pen = DecomposingRecordingPen(glyphs)
    glyphs[name].draw(pen)
    return pen.value
