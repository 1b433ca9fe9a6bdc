"""Damaged demo specs, read and built: every run ends in outputs or located problems."""
