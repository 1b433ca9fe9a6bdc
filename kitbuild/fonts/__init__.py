"""Our own subset of DejaVu Sans, so that a document never depends on the machine's fonts."""
