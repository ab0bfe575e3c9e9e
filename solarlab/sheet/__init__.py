"""What a trainer takes along on paper: the day sheet, the wordless card, the year on one page.

`asked` reads what a person typed, `day` and `advice` say it, `day_html`, `card` and `year_html` print it;
`desk` asks by controls instead of a terminal.
"""

from .day import DaySheet, day_sheet, html

__all__ = ["DaySheet", "day_sheet", "html"]
