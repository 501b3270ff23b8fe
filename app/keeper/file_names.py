"""Names of the paper files, and the links between them."""

import re
import unicodedata
from collections.abc import Mapping

_LINK = re.compile(r'<a\b([^>]*?)\shref="(/[^"]*)"')
_LONGEST = 40


def plain_name(text: str) -> str:
    """Return ``text`` as part of a file name that Windows and every phone take: a-z, 0-9 and single dashes."""
    letters = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", letters).strip("-")[:_LONGEST].strip("-")


def with_file_links(page: str, files: Mapping[str, str]) -> str:
    """Let the links of a page lead to files of the set; one that leads to the program alone is left as its words.

    Args:
        page: what a template of the app rendered.
        files: the file's name for each address of the app that has one.
    """

    def relink(link: re.Match[str]) -> str:
        name = files.get(link[2])
        return f'<a{link[1]} href="{name}"' if name else f"<a{link[1]}"

    return _LINK.sub(relink, page)
