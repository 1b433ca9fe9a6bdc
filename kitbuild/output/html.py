"""A document as one accessible page: whole in itself, without scripts, the same bytes for the same document.

jinja2 is loaded at the first rendering, not at import.
"""

from __future__ import annotations

from kitbuild.base.document import Document


def render_html(document: Document) -> bytes:
    """The bytes of `document` as an HTML page in UTF-8; ValueError for one that has no guide."""
    from kitbuild.output.html_page import page

    return page(document).encode("utf-8")
