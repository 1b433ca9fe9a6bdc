"""kitbuild turns counted-canvas kit specs into the papers and lists that fill a box."""

__version__ = "0.1.0"
