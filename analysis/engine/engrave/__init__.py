"""The engraved page: a canonical copy and a view in, SVG out.

Doors: `view.View` says what is to be seen; `engrave.open_view`, `engrave.pages`
and `engrave.passage` (in `doors`) run the engraver in a process of its own;
`svg.sanitize` lets nothing through that is not on its list.
"""

from __future__ import annotations

from analysis.engine.engrave.doors import Engraved, open_view, pages, passage
from analysis.engine.engrave.view import View

__all__ = ["Engraved", "View", "open_view", "pages", "passage"]
