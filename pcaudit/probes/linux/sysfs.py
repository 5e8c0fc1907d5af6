"""Following links in ``/sys``."""

from __future__ import annotations

from posixpath import dirname, normpath

from pcaudit.probes.linux.host import Tree


def real(tree: Tree, name: str) -> str:
    """Where the last part of ``name`` points, from the root; ``name`` where it is no link.

    The folder of ``name`` is taken as written, so it must be a real one where the link is relative.
    """
    try:
        target = tree.link(name)
    except OSError:
        return name
    return target if target.startswith("/") else normpath(f"{dirname(name)}/{target}")
