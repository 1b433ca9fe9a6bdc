"""The ground floor: problems, units, colour, glyphs, blocks, documents and listings."""
