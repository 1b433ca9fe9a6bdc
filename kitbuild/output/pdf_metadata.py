"""What a file says of itself as XMP (ISO 16684-1): title, author, language, date; no conformance."""

from __future__ import annotations

from xml.sax.saxutils import escape

from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFStream
from reportlab.pdfgen.canvas import Canvas

from kitbuild.base.document import Document
from kitbuild.output import pdf_ink

_PACKET = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/">
{entries}
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="r"?>
"""


def describe(canvas: Canvas, document: Document) -> None:
    """Put the metadata of `document` into the file, uncompressed, so that other programs find it."""
    kinds = PDFDictionary({"Type": PDFName("Metadata"), "Subtype": PDFName("XML")})
    stream = PDFStream(kinds, packet(document).encode(), filters=())
    canvas.setCatalogEntry("Metadata", pdf_ink.reference(canvas, stream))


def packet(document: Document) -> str:
    """The XMP packet: the same title, author and date as the document information has."""
    title = f'<rdf:li xml:lang="x-default">{escape(document.title)}</rdf:li>'
    entries = [f"<dc:title><rdf:Alt>{title}</rdf:Alt></dc:title>"]
    entries.append(f"<dc:language><rdf:Bag><rdf:li>{document.language}</rdf:li></rdf:Bag></dc:language>")
    if document.author:
        author = f"<rdf:li>{escape(document.author)}</rdf:li>"
        entries.append(f"<dc:creator><rdf:Seq>{author}</rdf:Seq></dc:creator>")
    entries.append("<xmp:CreatorTool>kitbuild</xmp:CreatorTool>")
    if document.date:
        names = ("CreateDate", "ModifyDate")
        entries += [f"<xmp:{name}>{document.date}T00:00:00Z</xmp:{name}>" for name in names]
    return _PACKET.format(entries="\n".join(entries))
