"""Tests of the spec room."""
