"""How a language says numbers, lengths, dates and counts, by Babel (CLDR data)."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from decimal import Decimal
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from kitbuild.base.units import about_inches, about_mm, inches_text, metric_parts, minor_digits, round_half_up

if TYPE_CHECKING:
    from babel import Locale

_UNKNOWN = "en"


class Speech:
    """The forms of one language; `sentences` give its words for units and small numbers."""

    def __init__(self, language: str, sentences: Mapping[str, str]) -> None:
        self.language = language
        self.sentences = sentences

    @cached_property
    def locale(self) -> Locale:
        """The language's rules; those of English for a language that CLDR does not know."""
        from babel import Locale, UnknownLocaleError

        try:
            return Locale.parse(self.sentences.get("unit.locale", self.language))
        except (UnknownLocaleError, ValueError):
            return Locale.parse(_UNKNOWN)

    def functions(self) -> dict[str, Callable[..., str]]:
        """What sentences may call, by name."""
        names = ("about", "length", "metric", "inches", "count", "noun", "spelled", "digits", "day", "money")
        names += ("sized",)
        return {name: getattr(self, name) for name in names}

    def digits(self, value: float, after: int | None = None) -> str:
        """A number with the language's signs: as short as it is, or with so many digits after the point."""
        exact = Decimal(repr(float(value))) if isinstance(value, float) else Decimal(value)
        if after is not None:
            exact = round_half_up(float(exact), after)
        return self._decimal(exact, after)

    def _decimal(self, value: Decimal, digits: int | None = None) -> str:
        return _decimal(self.locale, value + 0, digits)  # nothing has no sign

    def metric(self, value_mm: float) -> str:
        """A length in mm, cm or m: `7.6 cm`."""
        value, unit = metric_parts(value_mm)
        return f"{self._decimal(value)} {unit}"

    def inches(self, value_mm: float) -> str:
        """The same in inches, to the fractions that a rule shows: `7 1/4 in`."""
        number, _, _ = inches_text(value_mm).rpartition(" ")
        return f"{number} {self.sentences.get('unit.inch', 'in')}"

    def length(self, value_mm: float) -> str:
        """A length for people, in inches too where the language's readers measure in them."""
        return self._both(self.metric(value_mm), self.inches(value_mm))

    def about(self, value_mm: float) -> str:
        """A length that hands judge by eye: `5 cm (2 in)`."""
        if value_mm < 15:
            return self.length(value_mm)
        return self._both(f"{self._decimal(about_mm(value_mm) / 10)} cm", self.inches(about_inches(value_mm)))

    def sized(self, width_mm: float, height_mm: float) -> str:
        """Width and height: `9.9 × 10.3 cm (3 15/16 in × 4 1/16 in)`."""
        metric = f"{self.metric(width_mm)} × {self.metric(height_mm)}"
        return self._both(metric, f"{self.inches(width_mm)} × {self.inches(height_mm)}")

    def _both(self, metric: str, inches: str) -> str:
        form = self.sentences.get("unit.length", "{metric} ({inches})")
        return form.replace("{metric}", metric).replace("{inches}", inches)

    def count(self, number: int, one: str, other: str, **forms: str) -> str:
        """A number with its noun in the form that the language asks for: `1 group`, `6 groups`.

        Languages with more than two forms name them: `few=`, `many=`, `two=`, `zero=`.
        """
        return f"{self.digits(number)} {self.noun(number, one, other, **forms)}"

    def noun(self, number: int, one: str, other: str, **forms: str) -> str:
        """The noun alone in the form that the language asks for beside a number."""
        category = self.locale.plural_form(number)
        return one if category == "one" else forms.get(category, other)

    def spelled(self, number: int) -> str:
        """The language's word for a small number; digits for others."""
        return self.sentences.get(f"number.{number}", self.digits(number))

    def day(self, text: str) -> str:
        """A date as the language writes it in full: `1 October 2026`."""
        from babel.dates import format_date

        date = datetime.date.fromisoformat(text)
        said = format_date(date, "long", locale=self.locale)
        first = self.sentences.get("unit.first_day", "1")
        return first + said[1:] if date.day == 1 and said.startswith("1") else said

    def money(self, minor: int, currency: str) -> str:
        """An amount with its currency's digits: `12.50 EUR`."""
        digits = minor_digits(currency)
        return f"{self._decimal(Decimal(minor).scaleb(-digits), digits)} {currency}"


@lru_cache(maxsize=4096)
def _decimal(locale: Locale, value: Decimal, digits: int | None) -> str:
    """A number with a language's signs; the same few are said on every page."""
    from babel.numbers import format_decimal

    # a narrow no-break space is no place for a line to break, but not every typesetter knows
    tail = "#" * 6 if digits is None else "0" * digits
    pattern = f"#,##0.{tail}" if tail else "#,##0"
    return format_decimal(value, format=pattern, locale=locale).replace("\u202f", "\xa0")
