"""A table as a lesson shows it: whole, without row numbers, in text and in HTML."""

from __future__ import annotations

from dataclasses import dataclass, field

import pandas as pd


@dataclass(frozen=True, eq=False, repr=False)
class Table:
    """Rows and columns to be read: ``frame``, rounded as it is to be read, under a ``caption``."""

    frame: pd.DataFrame = field(default_factory=pd.DataFrame)
    caption: str = ""

    def __len__(self) -> int:
        return len(self.frame)

    def __repr__(self) -> str:
        if self.frame.empty:
            return f"{self.caption or 'Table'}: no rows yet."
        return self.frame.to_string(index=False, max_colwidth=200, line_width=400)

    def _repr_html_(self) -> str:
        from ._picture import table_html  # brings matplotlib, so only when shown

        return table_html(self.frame, self.caption) if len(self.frame) else f"<p>{self!r}</p>"
