"""The catalogue speaks: sentence id -> plain sentence. One catalogue a language, in kitbuild/wording/.

Sentences are Jinja2 expressions in a sandbox, strict about names that are not given. Inserted values are
text: nothing in them is read as a template or as markup.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from kitbuild.base.problem import InputProblems, Place, Problem
from kitbuild.base.units import about_text, inches_text, length_text, metric_text

if TYPE_CHECKING:
    from jinja2 import Template

FOLDER = Path(__file__).parent.parent / "wording"


class Wording:
    """One language's sentences; call it with an id and the values that the sentence inserts."""

    def __init__(self, language: str, sentences: Mapping[str, str], file: str) -> None:
        from jinja2 import StrictUndefined
        from jinja2.sandbox import ImmutableSandboxedEnvironment

        self.language = language
        self.sentences = dict(sentences)
        self.file = file
        self._templates: dict[str, Template] = {}
        self._environment = ImmutableSandboxedEnvironment(undefined=StrictUndefined, autoescape=False)
        self._environment.globals.update(
            about=about_text,
            length=length_text,
            metric=metric_text,
            inches=inches_text,
            count=_count,
            spelled=_spelled(sentences),
        )

    def __call__(self, id: str, /, **values: object) -> str:
        """The sentence with its values; InputProblems when the catalogue lacks it or it cannot be spoken."""
        from jinja2 import TemplateError

        try:
            return self._template(id).render(**values)
        except (TemplateError, TypeError, ValueError, ArithmeticError) as error:
            cure = "use only the values that the sentence is given"
            raise InputProblems(
                [Problem(Place(self.file), "KB702", f"sentence {id}: {error}", cure)]
            ) from error

    def has(self, id: str) -> bool:
        """Whether the catalogue has a sentence of this id."""
        return id in self.sentences

    def _template(self, id: str) -> Template:
        if id not in self.sentences:
            cure = f"write it in the {self.language} catalogue"
            raise InputProblems([Problem(Place(self.file), "KB701", f"sentence {id} is missing", cure)])
        if id not in self._templates:
            self._templates[id] = self._environment.from_string(self.sentences[id])
        return self._templates[id]


def _count(number: int, one: str, more: str) -> str:
    """A number with its noun: `1 group`, `6 groups`."""
    return f"{number} {one if number == 1 else more}"


def _spelled(sentences: Mapping[str, str]) -> Callable[[int], str]:
    """The language's words for small numbers, from the catalogue; digits for others."""
    return lambda number: sentences.get(f"number.{number}", str(number))


@lru_cache(maxsize=8)
def wording(language: str) -> Wording:
    """The catalogue that ships for a language; KeyError where there is none."""
    path = FOLDER / f"{language}.yaml"
    if language not in languages():
        raise KeyError(language)
    return Wording(language, read_catalogue(path.read_text(encoding="utf-8")), path.name)


def languages() -> tuple[str, ...]:
    """The languages that have a catalogue."""
    return tuple(sorted(path.stem for path in FOLDER.glob("*.yaml")))


def read_catalogue(text: str) -> dict[str, str]:
    """A catalogue's sentences; every value stays text."""
    import yaml

    loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
    return {str(key): str(value) for key, value in yaml.load(text, loader).items()}
