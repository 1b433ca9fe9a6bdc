"""The quick private route draws what the slow public one draws."""

from __future__ import annotations

from io import BytesIO

from kitbuild.output import pdf_ink
from kitbuild.output.pdf_settings import neutral_settings
from tests.output.reading import open_pdf, picture

SPOTS = [(50.0 + 10 * n, 400.25 + n) for n in range(20)]


def draw(quick: bool) -> bytes:
    with neutral_settings():
        from kitbuild.output.pdf_style import PLAIN, load_fonts

        load_fonts()
        target = BytesIO()
        canvas = pdf_ink.open_canvas(
            target, (595.0, 842.0), PLAIN, "en", pdf_ink.Info("t", "", "", "2026-10-01")
        )
        canvas.beginForm("s0", -5, -5, 5, 5)
        canvas.setFillColorRGB(0.2, 0.4, 0.6)
        canvas.rect(-4, -4, 8, 8, fill=1)
        canvas.endForm()
        if quick:
            text = "\n".join(f"q 1 0 0 1 {x} {y} cm {pdf_ink.operator('s0')} Q" for x, y in SPOTS)
            pdf_ink.place_forms(canvas, text, ["s0"])
        else:
            for x, y in SPOTS:
                canvas.saveState()
                canvas.translate(x, y)
                canvas.doForm("s0")
                canvas.restoreState()
        canvas.showPage()
        pdf_ink.prepare_pages(canvas)
        pdf_ink.seal(canvas)
        canvas.save()
        return target.getvalue()


def test_quick_and_public_routes_agree() -> None:
    quick, public = draw(True), draw(False)
    assert (picture(quick) == picture(public)).all()
    assert picture(quick).min() < 255
    for data in (quick, public):
        pdf = open_pdf(data)
        assert set(pdf.pages[0].Resources.XObject.keys()) == {"/FormXob.s0"}


def test_pages_and_dates_are_as_asked() -> None:
    pdf = open_pdf(draw(True))
    assert pdf.pages[0].StructParents == 0
    assert pdf.docinfo.CreationDate == "D:20261001000000Z"
    assert "/Author" not in pdf.docinfo
    assert b"Helvetica" not in draw(True)


def test_the_identifier_comes_from_the_pages() -> None:
    assert draw(True).split(b"/ID")[1] == draw(True).split(b"/ID")[1]
    assert bytes(open_pdf(draw(True)).trailer.ID[0]) != bytes(open_pdf(draw(False)).trailer.ID[0])
