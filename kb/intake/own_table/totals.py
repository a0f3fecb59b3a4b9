"""Lines of a table that are no rows of it: totals, counts, page numbers, headings of groups.

They are told as notices, so that nothing goes in silence; common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

_TOTAL = re.compile(
    r"""(?:(?:grand|sub|report|page|running|monthly|overall)[\s-]*)?totals?\b.{0,60}
      | (?:sum|count|average|avg|mean|rows?|records?|lines?|entries|repair\ orders?|ros)\s*
        (?:of\b.{0,40}|[:=].{0,40}|\(.{0,40}\)|\d[\d,]*)?
      | (?:number|no\.?|count|sum|total)\s+of\s.{1,60}
      | page\s*[:#]?\s*\d+.{0,40}
      | (?:-+\s*)?end\s+of\s+(?:report|file|list|data|history|export).{0,40}
      | (?:printed|generated|exported|created|prepared|run|produced)\b.{0,80}
      | [\d,]+\s+(?:rows?|records?|repair\ orders?|ros|lines?|entries|vehicles?|items?|jobs?)\b.{0,40}
      | \*{3,}.{0,80} | -{3,}.{0,80} | ={3,}.{0,80} | _{3,}
    """,
    re.IGNORECASE | re.VERBOSE | re.DOTALL,
)
_SAYS_TOTAL = re.compile(r"(?:grand|sub|report|page)?[\s-]*totals?\b.{0,40}", re.IGNORECASE)
_LEAST_COLUMNS = 3
_WORDS = 2


def is_no_row(cells: Sequence[str], width: int) -> bool:
    """Whether a line below the header is a total or remark, by its few filled cells and what the first says.

    A line that holds nothing but words in its first cell is the heading of a group or a remark.
    """
    filled = [(at, cell.strip()) for at, cell in enumerate(cells) if cell.strip()]
    if width < _LEAST_COLUMNS or not filled:
        return False
    (place, first), few = filled[0], len(filled) * 3 <= width
    if _SAYS_TOTAL.fullmatch(first) and len(filled) * 2 <= width:
        return True
    if few and _TOTAL.fullmatch(first):
        return True
    return len(filled) == 1 and place == 0 and len(re.findall(r"[^\W\d]{2,}", first)) >= _WORDS
