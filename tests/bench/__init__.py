"""Benchmarks: figures to look at, never a test that can fail on a busy machine."""
