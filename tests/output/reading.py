"""Reading a PDF back: its structure tree as text, its pages as pictures."""

from __future__ import annotations

import re
from io import BytesIO

import numpy as np
import pikepdf
import pypdfium2

POINTS_PER_MM = 72 / 25.4


def open_pdf(data: bytes) -> pikepdf.Pdf:
    return pikepdf.open(BytesIO(data))


def picture(data: bytes, page: int = 0, scale: float = 4.0) -> np.ndarray:
    """Pixels (y, x, rgb) of a page; `scale` pixels a point."""
    return np.asarray(pypdfium2.PdfDocument(data)[page].render(scale=scale).to_pil().convert("RGB"))


def page_texts(data: bytes) -> list[str]:
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(data)]


def pixel(image: np.ndarray, x_mm: float, y_mm: float, scale: float = 4.0) -> tuple[int, ...]:
    """The colour at a point of the page, from its upper left corner."""
    x, y = (round(value * POINTS_PER_MM * scale) for value in (x_mm, y_mm))
    return tuple(int(channel) for channel in image[y, x])


def marked_texts(pdf: pikepdf.Pdf, page: pikepdf.Page) -> dict[int, str]:
    """Text of each marked content of a page, decoded by the fonts' own ToUnicode maps."""
    maps = {name: unicode_of(font) for name, font in page.Resources.Font.items()}
    texts: dict[int, str] = {}
    stack: list[int | None] = []
    font = ""
    for operands, operator in pikepdf.parse_content_stream(page):
        match str(operator):
            case "BDC" | "BMC":
                tags = operands[1] if len(operands) > 1 else {}
                stack.append(int(tags["/MCID"]) if "/MCID" in tags else None)
                if stack[-1] is not None:
                    texts.setdefault(stack[-1], "")
                if "/ActualText" in tags:
                    texts[stack[-2]] += str(tags["/ActualText"])
            case "EMC":
                stack.pop()
            case "Tf":
                font = str(operands[0])
            case "Tj":
                current = next((mark for mark in reversed(stack) if mark is not None), None)
                if current is not None:
                    texts[current] += "".join(maps[font][code] for code in bytes(operands[0]))
            case "T*":
                current = next((mark for mark in reversed(stack) if mark is not None), None)
                if current is not None and texts[current]:
                    texts[current] += " "
    assert not stack
    return texts


def unicode_of(font: pikepdf.Object) -> dict[int, str]:
    """Code → character of one font."""
    text = font.ToUnicode.read_bytes().decode("ascii")
    found: dict[int, str] = {}
    for block in re.findall(r"beginbfrange(.*?)endbfrange", text, re.S):
        for first, _last, array in re.findall(r"<(\w+)>\s*<(\w+)>\s*\[(.*?)\]", block, re.S):
            for step, code in enumerate(re.findall(r"<(\w+)>", array)):
                found[int(first, 16) + step] = bytes.fromhex(code).decode("utf-16-be")
    for block in re.findall(r"beginbfchar(.*?)endbfchar", text, re.S):
        for code, value in re.findall(r"<(\w+)>\s*<(\w+)>", block):
            found[int(code, 16)] = bytes.fromhex(value).decode("utf-16-be")
    return found


def structure(data: bytes) -> list[tuple[str, str]]:
    """(role, text) of each element in reading order; a figure's text is its Alt."""
    pdf = open_pdf(data)
    texts = {page.objgen: marked_texts(pdf, page) for page in pdf.pages}
    found: list[tuple[str, str]] = []

    def walk(element: pikepdf.Object) -> None:
        words = []
        below = []
        for kid in element.get("/K", []):
            if isinstance(kid, int):
                words.append(texts[element.Pg.objgen][kid])
            elif kid.get("/Type") == "/MCR":
                words.append(texts[kid.Pg.objgen][int(kid.MCID)])
            else:
                below.append(kid)
        text = str(element.Alt) if "/Alt" in element else " ".join(words)
        found.append((str(element.S)[1:], " ".join(text.split())))
        for kid in below:
            walk(kid)

    walk(pdf.Root.StructTreeRoot.K)
    return found
