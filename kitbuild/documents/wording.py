"""The catalogue speaks: sentence id -> plain sentence. One catalogue a language, in kitbuild/wording/.

Sentences are Jinja2 expressions in a sandbox, strict about names that are not given. Inserted values are
text: nothing in them is read as a template or as markup. A workshop says single sentences otherwise, and
gives its own texts in the language, in a file of its own.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from kitbuild.base.problem import InputProblems, Place, Problem
from kitbuild.documents.speech import Speech
from kitbuild.spec.house import Words
from kitbuild.spec.words import listed, shown, suggestion

if TYPE_CHECKING:
    from jinja2 import Environment, Template

FOLDER: Final = Path(__file__).parent.parent / "wording"
MODEL: Final = "en"
"""The catalogue that says which sentences there are, and which values each of them is given."""


class Wording:
    """One language's sentences; call it with an id and the values that the sentence inserts."""

    def __init__(
        self, language: str, sentences: Mapping[str, str], file: str, words: Words | None = None
    ) -> None:
        self.language = language
        self.sentences = {**sentences, **words.sentences} if words else sentences
        self.file = file
        self.words = words
        self.speech = Speech(language, self.sentences)
        self._spoken: dict[str, Callable[..., str]] = {}
        self._environment = _environment()
        self._environment.globals.update(self.speech.functions())

    def __call__(self, id: str, /, **values: object) -> str:
        """The sentence with its values; InputProblems when the catalogue lacks it or it cannot be spoken."""
        from jinja2 import TemplateError

        try:
            return self._sentence(id)(**values)
        except (TemplateError, TypeError, ValueError, ArithmeticError) as error:
            raise InputProblems([self._unspeakable(id, error)]) from error

    def own(self, text: str) -> str:
        """What stands in this language for a text that the workshop wrote: itself, where nothing does."""
        return self.words.own.get(text.strip(), text) if self.words else text

    def own_plural(self, unit: str, number: int) -> str:
        """What the workshop says of so many of one of its units: "" where it has not said that."""
        forms = self.words.plurals.get(unit.strip()) if self.words else None
        return self.speech.noun(number, self.own(unit), **forms) if forms else ""

    def has(self, id: str) -> bool:
        """Whether the catalogue has a sentence of this id."""
        return id in self.sentences

    def faults(self) -> Iterator[Problem]:
        """What is wrong with the workshop's own sentences, each at its place."""
        model = read(MODEL)
        for id, text in self.words.sentences.items() if self.words else ():
            if id not in model:
                cure = suggestion(id, model, "take it out")
                cure = cure if cure.startswith("did") else "use an id of the catalogue"
                yield Problem(self._key(id), "KB705", f"there is no sentence {shown(id)}", cure)
            else:
                yield from self._faults_of(id, text, model[id])

    def _faults_of(self, id: str, text: str, model: str) -> Iterator[Problem]:
        from jinja2 import TemplateSyntaxError

        try:
            strange = sorted(_names(text) - _names(model) - self._environment.globals.keys())
        except TemplateSyntaxError as error:
            yield self._unspeakable(id, error)
            return
        if strange:
            known = sorted(_names(model) - self._environment.globals.keys())
            cure = f"it is given {listed(known, 'and')}" if known else "it is given no values"
            message = f"sentence {id} is not given {listed(strange)}"
            yield Problem(self._place(id), "KB702", message, cure)

    def _unspeakable(self, id: str, error: Exception) -> Problem:
        """The problem of a sentence that cannot be filled in; its message is one line."""
        cure = "use only the values that the sentence is given"
        told = " ".join(str(error).split())
        return Problem(self._place(id), "KB702", f"sentence {id}: {told}", cure)

    def _place(self, id: str) -> Place:
        """Where a sentence stands: in the workshop's own file, or in the catalogue."""
        if self.words and id in self.words.sentences:
            return self.words.at("sentences", id)
        path = FOLDER / self.file
        text = path.read_text(encoding="utf-8") if path.is_file() else ""
        match = re.search(rf"^(\"?{re.escape(id)}\"?: *)", text, re.MULTILINE)
        if not match:
            return Place(self.file)
        return Place(self.file, text.count("\n", 0, match.start()) + 1, len(match[1]) + 1)

    def _key(self, id: str) -> Place:
        return self.words.at.key("sentences", id) if self.words else Place(self.file)

    def _sentence(self, id: str) -> Callable[..., str]:
        """What fills a sentence in; one without any expression is as it stands."""
        if id not in self.sentences:
            cure = f"write it in the {self.language} catalogue"
            raise InputProblems([Problem(Place(self.file), "KB701", f"sentence {id} is missing", cure)])
        if id not in self._spoken:
            text = self.sentences[id]
            self._spoken[id] = self._template(text).render if "{" in text else _unchanged(text)
        return self._spoken[id]

    def _template(self, text: str) -> Template:
        made = self._environment.from_string(text)
        made.globals = self._environment.globals  # one mapping, not a chain: it is copied at each rendering
        return made


def _unchanged(text: str) -> Callable[..., str]:
    """A sentence that takes no values, without the line's end that its block of YAML may have."""
    said = text.removesuffix("\n")
    return lambda **_: said


def _environment() -> Environment:
    from jinja2 import StrictUndefined
    from jinja2.sandbox import ImmutableSandboxedEnvironment

    return ImmutableSandboxedEnvironment(undefined=StrictUndefined, autoescape=False)


@lru_cache(maxsize=1024)
def _names(text: str) -> frozenset[str]:
    """The names that a sentence uses without giving them itself; TemplateSyntaxError when it has none."""
    from jinja2.meta import find_undeclared_variables

    return frozenset(find_undeclared_variables(_environment().parse(text)))


def wording(language: str, words: Words | None = None) -> Wording:
    """The catalogue that ships for a language with the workshop's own words; KeyError where there is none."""
    if language not in languages():
        raise KeyError(language)
    return Wording(language, read(language), f"{language}.yaml", words)


def languages() -> tuple[str, ...]:
    """The languages that have a catalogue."""
    return tuple(sorted(path.stem for path in FOLDER.glob("*.yaml")))


@lru_cache(maxsize=8)
def read(language: str) -> Mapping[str, str]:
    """A language's sentences as they ship, read once."""
    return read_catalogue((FOLDER / f"{language}.yaml").read_text(encoding="utf-8"))


def read_catalogue(text: str) -> dict[str, str]:
    """A catalogue's sentences; every value stays text."""
    import yaml

    loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
    return {str(key): str(value) for key, value in yaml.load(text, loader).items()}
