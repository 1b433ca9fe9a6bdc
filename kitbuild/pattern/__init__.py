"""Kit -> Panel: every stitch of every piece, proven to cover the canvas."""
