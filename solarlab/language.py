"""Languages of what is printed: messages by gettext, dates and decimals by Babel.

A message is its English text; catalogues stand in ``data/messages/CODE.po`` and are compiled in memory when a
language is first asked for.  A catalogue whose header does not say ``X-Read-By-Native-Speaker: yes`` is a
draft, and everything about safety is then printed in English too.
"""

from __future__ import annotations

import datetime
import gettext
import io
from dataclasses import dataclass
from functools import cache

from babel.dates import format_date
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.numbers import format_decimal

from ._limits import suggest
from ._shelf import folder

LOCALES = {"en": "en_GB", "es": "es", "fr": "fr", "sw": "sw"}
NAMES = {"en": "English", "es": "español", "fr": "français", "sw": "Kiswahili"}
READ_BY = "X-Read-By-Native-Speaker"


@dataclass(frozen=True)
class Language:
    """One language: call it with an English message to get the message in that language.

    Values stand in braces: ``say("Put in {dish}", dish="…")``.  ``draft``: no native reader has read it.
    """

    code: str
    draft: bool
    catalogue: gettext.NullTranslations

    def __call__(self, message: str, **values) -> str:
        text = self.catalogue.gettext(message) if message else ""
        return text.format(**values) if values else text

    def start(self, message: str) -> str:
        """The message as a line starts: its first letter large."""
        text = self(message)
        return text[:1].upper() + text[1:]

    @property
    def locale(self) -> str:
        return LOCALES[self.code]

    @property
    def name(self) -> str:
        """The language's own name for itself."""
        return NAMES[self.code]

    def date(self, date: datetime.date) -> str:
        """A date in full, with its weekday."""
        return format_date(date, "full", locale=self.locale)

    def number(self, value: float, digits: int = 0) -> str:
        """A number with so many decimals, in the language's own signs."""
        shape = "#,##0" + ("." + "0" * digits if digits else "")
        return format_decimal(round(float(value), digits) + 0.0, shape, locale=self.locale)

    def degrees(self, celsius: float) -> str:
        """A temperature in whole °C, and the °F of that same whole number: a reader may convert it back."""
        return f"{self.number(celsius)} °C ({self.number(round(float(celsius)) * 1.8 + 32.0)} °F)"


@cache
def language(code: str) -> Language:
    """The language of that code: "en", "es", "fr" or "sw"."""
    if code not in LOCALES:
        known = ", ".join(f"{key} ({name})" for key, name in NAMES.items())
        raise ValueError(
            f"there is no language {code!r}; {suggest(str(code), LOCALES, 'there are ' + known)}"
        )
    text = (folder() / "messages" / f"{code}.po").read_bytes()
    compiled = io.BytesIO()
    write_mo(compiled, read_po(io.BytesIO(text), locale=LOCALES[code].split("_")[0]))
    compiled.seek(0)
    read = f'"{READ_BY}: yes\\n"'.encode() in text  # Babel keeps no header that it does not know
    return Language(code, not read, gettext.GNUTranslations(compiled))
