"""Claims that no text of a kit may make: that it is safe, certified, colourfast, and the like.

A kit cannot keep such a promise for whoever buys it. Claims are refused, not words: "keep it in a safe place"
and "not colourfast" promise nothing. English, French and German are known; each text is read in all three.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Final

_STANDARDS: Final = (
    r"(?:[\w'-]+ ){0,4}?(?:standards?|regulations?|directives?|requirements?|(?-i:EN|ISO|DIN|BS) ?\d+"
    r"|(?-i:ASTM|CPSIA|REACH|FDA)|(?-i:CE))\b"
)
#: What a claim stands after when it is only asked about: whether it is, check that they are.
_ASKED: Final = (
    r"\b(?:whether|if|until|unless|check|test|see|sure|si|que)(?: [\w'-]+){0,5}"
    r" (?:is|are|be|est|sont) (?:\w+ )?$"
)
_KEPT: Final = r"\b(?:keep|store|stay|put|lock|play|better)(?: [\w'-]+){0,5} $"
_BEWAHRT: Final = (
    r"\b(?:stell|geh|bewahr|lager|verwahr|verstau|halt|heb|leg|befestig|näh|schließ)\w*(?: [\w'-]+){0,8} $"
)
_RANGE: Final = r"\b(?:rang|gard|conserv|stock|plac|met)\w*(?: [\w'-]+){0,8} $"


@dataclass(frozen=True, slots=True)
class Claim:
    """Words that promise something, in one pattern; nothing where `before` or `after` fits beside them.

    `stored` are words before it that make a place of it, unless something follows that it would describe.
    """

    words: str
    before: str = ""
    after: str = ""
    stored: str = ""


#: By what is promised. A space is one space, since texts are evened out before; case does not matter.
CLAIMS: Final[tuple[Claim, ...]] = (
    # that it is safe
    Claim(
        r"\b(?:(?:child|kid|baby|pet|food|skin)safe|(?:[\w']+-)?safe)\b",
        before=r"\b(?:better|play it|play|fail|just to be|un|non)[- ]$",
        after=r" (?:places?|spots?|box(?:es)?|distance|keeping|side|deposit|haven|harbou?rs?|journeys?|trips?"
        r"|travels?|home|storage|corners?|drawers?|hands?)\b",
        stored=rf"{_KEPT}|\bto be $|\b(?:in|into|from|inside) (?:a|the|your) $",
    ),
    Claim(
        r"\b(?:can|may) (?:(?!stored|kept|put|packed)\w+ ){0,3}safely\b",
        after=r" (?:be )?(?:stored|kept|put|packed)\b",
    ),
    Claim(r"\b(?:safely (?:be )?(?:used|handled|given|washed|worn)|(?:used|handled|washed|worn) safely)\b"),
    Claim(r"\bsafety[- ](?:tested|approved|certified|checked|rated)\b|\b(?:tested|approved) for safety\b"),
    Claim(r"\b(?:meets?|passe[sd]) (?:[\w'-]+ ){0,3}safety\b|\bharmless\b|\brisk[- ]free\b"),
    Claim(r"\bchild[- ]?proof\b|\bsans (?:aucun )?(?:danger|risque)s?\b(?! d[e'])|\binoffensi(?:f|ve)s?\b"),
    Claim(
        r"\bsûre?s?\b(?: pour [\w'-]+(?: [\w'-]+)?)?",
        before=r"\b(?:bien|lieu|lieux|endroits?|place|coup|peu|plus|être|soyez|suis|êtes) $",
        after=r" (?:qu[e']|d[e'])",
    ),
    Claim(r"\ben toute sécurité\b", before=_RANGE),
    Claim(
        r"\b(?!un|ver|ab)(?:\w+-?)?sicher(?:e[nmrs]?)?\b",
        before=_BEWAHRT,
        after=r",? (?:auf\w*|verwahr\w*|gelagert|lager\w*|verstau\w*|weg\w*|befestig\w*|fest\w*|vernäh\w*"
        r"|sitz\w*|hält|halten|ort\w*|plätze\w*|platz|stellen?|abstand|dass|ob|sein|gehen)\b",
    ),
    Claim(r"\b(?:unbedenklich|ungefährlich|harmlos|gefahrlos)\w*"),
    # not toxic
    Claim(r"\b(?:non|not)[- ]?toxic\b|\btoxin[- ]free\b|\bfree (?:of|from) toxins?\b|\bno toxins?\b"),
    Claim(r"\bnon[- ]toxiques?\b|\batoxiques?\b|\bpas toxiques?\b"),
    Claim(r"\bungiftig\w*|\bnicht giftig\w*|\bschadstofffrei\w*|\bfrei von schadstoffen\b"),
    # hypoallergenic
    Claim(r"\b(?:hypo|non|anti)[- ]?allerg\w+|\ballerg(?:y|en)[- ]?fre[ei]\w*|\bsans allergènes?\b"),
    # fireproof
    Claim(r"\b(?:fire|flame)[- ]?(?:proof|resistant|retardant)(?:ed)?\b|\bincombustible\b"),
    Claim(r"\b(?:non|not)[- ]?(?:in)?flammable\b|\bininflammables?\b|\bignifug\w+|\bnon[- ]inflammables?\b"),
    Claim(r"\brésist\w+ au feu\b|\bà l'épreuve du feu\b"),
    Claim(r"\b(?:feuer|flamm)(?:fest|sicher|hemmend|beständig)\w*"),
    Claim(r"\b(?:schwer|nicht|un)[- ]?(?:ent)?(?:flamm|zünd|brenn)(?:bar|lich)\w*"),
    # colourfast
    Claim(r"\b(?:colou?r|dye|wash)[- ]?fast\b|\bfast (?:colou?rs?|dyes?)\b", after=r"ness\b"),
    Claim(
        r"\b(?:colou?rs?|dyes?|it|wools?|threads?)"
        r" (?:(?:will|do|does) not|won't|don't|doesn't|never|cannot|can't)"
        r" (?:run|bleed)\b(?! (?:out|on|over|under|along|behind|across|through|down|up)\b)",
        before=r"\b(?:check|test|see|sure|whether|if|until|unless|when|where)(?: [\w'-]+){0,5} $|\bif $",
    ),
    Claim(r"\b(?:grand|bon)[- ]teint\b|\bcouleurs? solides?\b|\bne (?:détei|dégorg)\w+ pas\b"),
    Claim(r"\b(?:farb|wasch|licht)echt(?!heit)\w*|\bfärb(?:t|en) nicht ab\b"),
    # nickel-free
    Claim(r"\bnickel[- ]?(?:free|frei\w*)\b|\b(?:no|without|zero|sans|ohne|kein) nickel\b"),
    Claim(r"\bfree (?:of|from) nickel\b|\bfrei von nickel\b|\bexempte?s? de nickel\b"),
    Claim(r"\b(?:does|do) not contain (?:any )?nickel\b|\bne conti\w+ pas de nickel\b"),
    # certified
    Claim(r"\bcertified\b|\bcertifi[ée]e?s?\b|\bcertifications?\b|\bzertifizier\w+|\bhomologuée?s?\b"),
    Claim(r"\bcertificate of (?:conformity|compliance)\b|\boeko[- ]?tex\b|\b(?:GS|TÜV)[- ]geprüft\w*"),
    Claim(r"\b(?-i:CE|UKCA)[- ]?(?:mark(?:ed|ing)?|approved)\b|\bmarqu(?:age|ée?s?) (?-i:CE)\b"),
    Claim(r"\b(?-i:CE)[- ]?(?:zeichen|kennzeichnung|gekennzeichnet|geprüft|konform)\b"),
    # complies
    Claim(r"\bcompli(?:es|ant)\b(?: with [\w-]+(?: \d+)?)?|\bin compliance\b|\bcomply with " + _STANDARDS),
    Claim(r"\bconform(?:s|ing|ant)? (?:to|with) " + _STANDARDS),
    Claim(r"\b(?:meets?|satisf(?:y|ies)|fulfill?s?|fulfils|passe[sd]) " + _STANDARDS),
    Claim(r"\b(?:tested|approved) (?:to|by|against|under|for|according to) " + _STANDARDS),
    Claim(r"\bconformes? (?:à|au|aux)\b"),
    Claim(r"\b(?:répond(?:ent)?|satisf\w+) (?:à|aux?) (?:\w+ ){0,2}(?:normes?|exigences)\b"),
    Claim(
        r"\b(?:entspricht|entsprechen|erfüllt|erfüllen) (?:[\w-]+ ){0,3}?(?:(?-i:EN|DIN|ISO)\b|norm(?:en)?\b"
        r"|(?:[\w-]*)(?:richtlinie|vorschrift|verordnung|anforderung|standard|gesetz)\w*)(?: (?:EN )?\d+)?"
    ),
    Claim(r"\b(?:norm|richtlinien|ce)-?(?:gerecht|konform)\w*|\bkonform (?:mit|zu)\b|\bgeprüft nach\b"),
)
_END: Final = r"(?= ?(?:[.,;:!?)]|$)| (?:and|from|in|until|while|when|away|there|out|with|at)\b)"
_NEGATED: Final = (
    r"(?:\b(?:not|never|no|nor|neither|cannot|without|nothing|none|non|un|hardly|pas|jamais|aucune?|ni"
    r"|sans être|nicht|kein\w*|nie|niemals|weder)\b|n't\b)"
    r"(?! (?:only|just|merely|other|seulement|nur|bloß)\b)"
    r"(?:[ -][\w'-]+){0,6}[ -]?$"
)
#: A claim that is taken for granted stays one within a sentence that denies something else.
_GRANTED: Final = (
    r"\b(?:the|this|these|our|your|its|as|so|more|les?|la|cette|ces?|nos|notre"
    r"|die|der|das|diese\w?|unser\w*) $"
)
_LISTED: Final = r"\b(?:not|never|nicht) (?:[\w'-]+, )+$"
_LAST: Final = r"\b(?:not|never|nicht) (?:[\w'-]+, )*[\w'-]+,? (?:or|oder) $"
_GOES_ON: Final = r"(?:, [\w'-]+)*,? (?:or|oder)\b"
_CLAUSE: Final = r"[.,;:!?()\"«»„“”–—]|\b(?:and|but|yet|et|mais|und|aber|sondern)\b"
_GONE: Final = r"[\u00ad\u200b-\u200d\u2060\ufeff®™©]"


def claims_in(text: str) -> tuple[str, ...]:
    """The phrases of a text that claim what no text may, in their order; () when there are none."""
    even = _evened(text)
    found: list[tuple[int, int]] = []
    for start, end in sorted(_spans(even), key=lambda span: (span[0], -span[1])):
        if not found or start >= found[-1][1]:
            found.append((start, end))
    return tuple(dict.fromkeys(even[start:end].strip() for start, end in found))


def _spans(text: str) -> Iterator[tuple[int, int]]:
    for claim in CLAIMS:
        for match in _compiled(claim.words).finditer(text):
            whole, after = text[: match.start()], text[match.end() :]
            before = re.split(_CLAUSE, whole, flags=re.IGNORECASE)[-1]
            if not _is_fine(claim, before, after) and not _is_denied_in_a_list(whole, after):
                yield match.span()


def _is_fine(claim: Claim, before: str, after: str) -> bool:
    """Whether what stands round the words makes no claim of them."""
    if (claim.before and _finds(claim.before, before)) or (claim.after and _begins(claim.after, after)):
        return True
    if claim.stored and _finds(claim.stored, before) and _begins(_END, after):
        return True
    denied = _finds(_NEGATED, before) and not _finds(_GRANTED, before)
    return denied or _finds(_ASKED, before)


def _is_denied_in_a_list(before: str, after: str) -> bool:
    """Whether it is one of several things denied: not this, that or another."""
    return _finds(_LAST, before) or (_finds(_LISTED, before) and _begins(_GOES_ON, after))


def _evened(text: str) -> str:
    """Text with plain hyphens, apostrophes and single spaces, without marks that the eye passes over."""
    even = unicodedata.normalize("NFKC", re.sub(_GONE, "", text)).replace("’", "'")
    even = re.sub(r"(?<=\w)[‐‑‒–—−](?=\w)", "-", even)
    even = re.sub(r"\n\s*\n", ". ", even)
    return " ".join(re.sub(r"[_*`~|]", " ", even).split())


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.IGNORECASE)


def _finds(pattern: str, text: str) -> bool:
    return _compiled(pattern).search(text) is not None


def _begins(pattern: str, text: str) -> bool:
    return _compiled(pattern).match(text) is not None
