"""The look of the paper files: the app's own style sheets, put into each file."""

import re
from functools import lru_cache
from typing import Final

from app.config import ROOT

_SHEETS: Final = ROOT / "static" / "css"
_IMPORT = re.compile(r'@import url\("([^"]+)"\) layer\(([a-z]+)\);')
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_ONLY_IN_THE_PROGRAM: Final = frozenset({"masthead.css", "forms.css", "buttons.css", "station.css"})


@lru_cache
def inlined_style(*areas: str) -> str:
    """Return the app's style sheets and those of some areas as one text that names no other file."""

    def inline(sheet: re.Match[str]) -> str:
        name, layer = sheet[1], sheet[2]
        return "" if name in _ONLY_IN_THE_PROGRAM else f"@layer {layer} {{ {_read(name)} }}"

    sheets = [_IMPORT.sub(inline, _read("lotwright.css")), *(_read(f"areas/{area}.css") for area in areas)]
    return "\n".join(sheets)


def _read(name: str) -> str:
    text = _COMMENT.sub("", (_SHEETS / name).read_text(encoding="utf-8"))
    return "\n".join(line for line in map(str.strip, text.splitlines()) if line)
