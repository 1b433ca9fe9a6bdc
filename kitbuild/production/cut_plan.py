"""The cut plan of one canvas: least cost, then the largest offcut, then few layouts and few cuts."""

from __future__ import annotations

from kitbuild.production.cut_records import CutJob, Cutting


def cut(job: CutJob) -> Cutting:
    """The best plan found, beside its proven bound; what the limits leave uncut is in `short`.

    A blank that no supply holds is short too: the caller says so at its place. Nothing is raised.
    """
    raise NotImplementedError
