"""The templates and the style sheet, wherever the package lies."""

from __future__ import annotations

import os


def shipped(name: str) -> str:
    """The text of a file that comes with this package.

    Args:
        name: Of a file in the folder of templates.
    """
    path = os.path.join(os.path.dirname(__file__), "templates", name)
    # The loader reads from folders and from zip archives alike (PEP 302, get_data).
    loader = __spec__.loader
    data: bytes = loader.get_data(path)  # type: ignore[union-attr]
    return data.decode("utf-8").replace("\r\n", "\n")
