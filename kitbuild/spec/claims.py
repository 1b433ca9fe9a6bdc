"""Claims that no kit may make, found in printed text: claims, not mere words.

"Keep in a safe place" is advice and "not safe for children" a caution; "safe for children" is a claim.
English, French and German are read, whatever the language of the workshop.
"""

from __future__ import annotations

import re
import unicodedata
from typing import Final

#: Standards, laws and their like: what things conform to when that is claimed.
_RULE: Final = (
    r"(?:EN|ISO|DIN|BS|NF|ASTM|ANSI|CPSIA|CPSC|REACH|GPSR|UKCA|CE|\d+ CFR|\w*(?:norm|standard)(?:e|en|s)?"
    r"|(?:\w+[- ])?(?:regulation|directive|requirement|law|rule|statute)s?"
    r"|(?:r[èe]gle|exigence|loi|r[èe]glement|directive)s?|\w*(?:richtlinie|verordnung|vorschrift|gesetz)\w*)\b"
)
_TO_RULE: Final = rf"(?:[ ](?!\w*n[o']t\b)[\w'./-]+){{0,4}}?[ ]{_RULE}"

#: Claims of each language; a phrase that a "not" before it turns round is none.
_ENGLISH: Final = (
    r"\w+-safe(?:ty)?[- ](?:tested|approved)\b",
    r"\w+-safe\b",
    r"\b(?:child|children|kid|baby|toddler|infant|pet|toy|food|skin|dishwasher|oven|microwave|heat|freezer)"
    r"s?[ ]?safe\b",
    r"(?<!on the )(?<!fail-)\bsafe"
    r"(?! (?:place|spot|distance|side|box|keeping|storage|hands|than|from|and dry)\b)"
    r"(?: (?:for|to|with|in|on|at|around|near|enough for|and) [\w'-]+)?",
    r"\bsafety[- ](?:tested|approved|certified|checked)\b",
    r"\b(?:non-?|not )\s?(?:toxic|poisonous)\b",
    r"\bharmless\b",
    r"\b(?:hypo|non|anti)[- ]?allerg(?:en)?ic\b",
    r"\b(?:fire|flame|heat|oven|fade|water)[- ]?(?:proof|resistant|resisting|retardant)\b",
    r"\b(?:non-?|not |in)\s?(?:flammable|inflammable|combustible)\b",
    r"\b(?:colou?r|light|wash|dye)[- ]?fast(?:ness)?\b",
    r"\bcolou?rs?(?: [\w-]+){0,2} (?:will not|won't|do not|don't|never|cannot|can't) (?:run|bleed|fade)\b",
    r"\b(?:nickel|lead|toxin|allergen|bpa|azo|phthalate|formaldehyde|chemical)s?[- ]free\b",
    r"\b(?:free (?:of|from)|contains? no|without) (?:nickel|lead|toxins|allergens|harmful substances)\b",
    r"\bcertifi(?:ed|cated)\b",
    r"\bcomplies\b(?: with [\w'-]+(?: \d+)?)?",
    rf"\bcomply(?:ing)? with{_TO_RULE}",
    r"\b[\w-]*[- ]?compliant\b",
    rf"\b(?:conforms?|conforming) (?:to|with){_TO_RULE}",
    rf"\b(?:meets?|passe[sd]|exceeds?|fulfils?|satisf(?:y|ies)|tested (?:to|against|under)){_TO_RULE}",
    r"\b(?:CE|UKCA)[- ](?:mark(?:ed|ing)?|approved|tested)\b",
)
_FRENCH: Final = (
    r"(?<!bien )(?<!endroit )(?<!lieu )\bsûre?s? (?:pour|à l'usage|au contact)(?: [\w']+)?",
    r"\b(?:est|sont|parfaitement|totalement|absolument|entièrement|jouets?|produits?) sûre?s?\b",
    r"\bsans (?:aucun )?(?:danger|risque)\b",
    r"\bsans (?:nickel|plomb|substances? nocives?|produits? toxiques?)\b",
    r"\b(?:non-?|pas )\s?toxiques?\b",
    r"\batoxiques?\b",
    r"\b(?:hypo-?|anti-?)allerg[ée]ni?ques?\b",
    r"\bignifug(?:es?|é|ée|és|ées)\b",
    r"\b(?:ininflammables?|incombustibles?)\b",
    r"\brésistante?s? (?:au feu|aux flammes|à la chaleur)\b",
    r"\b(?:grand|bon) teint\b",
    r"\bcertifi[ée]e?s?\b",
    r"\bconformes? (?:à|a|au|aux)\b"
    r"(?! (?:la )?(?:photo|image|grille|modèle|dessin|diagramme)\b)(?: [\w'-]+)?",
    r"\b(?:marquage|marqués?|marquées?|norme) CE\b",
)
_GERMAN: Final = (
    r"\b(?:kinder|baby|spielzeug|lebensmittel|feuer|bruch)sichere?[rsnm]?\b",
    r"\bsicher für(?! nicht)(?: \w+)?",
    r"\b(?:ist|sind|absolut|völlig|vollkommen|garantiert) sicher\b(?! (?:nicht|kein\w*|auf|ver\w+)\b)",
    r"\b(?:gesundheitlich )?unbedenkliche?[rsnm]?\b",
    r"\b(?:ungefährlich|gefahrlos|harmlos)e?[rsnm]?\b",
    r"\b(?:ungiftig|nicht giftig|schadstoff-?frei|giftfrei)e?[rsnm]?\b",
    r"\b(?:hypo|anti)-?allergene?[rsnm]?\b",
    r"\bhypoallergenische?[rsnm]?\b",
    r"\b(?:feuer|flamm|hitze)[- ]?(?:fest|beständig|hemmend|sicher)e?[rsnm]?\b",
    r"\b(?:schwer entflammbar|nicht brennbar|unbrennbar|nicht entflammbar)e?[rsnm]?\b",
    r"\b(?:farb|licht|wasch|lebensmittel)-?echte?[rsnm]?\b",
    r"\b(?:nickel|blei|allergen|azo)-?freie?[rsnm]?\b",
    r"\bohne (?:nickel|schadstoffe)\b",
    r"\b(?:\w+-)?zertifizierte?[rsnm]?\b",
    rf"\bentsprech(?:en|end)(?:{_TO_RULE})",
    rf"\bentspricht(?:{_TO_RULE})",
    rf"\berfüll(?:t|en){_TO_RULE}",
    r"\b[\w-]*-?konform\b",
    r"\b(?:CE|TÜV|GS)-?(?:geprüft|gekennzeichnet|zeichen|kennzeichnung)e?[rsnm]?\b",
)
_CLAIM: Final = re.compile("|".join((*_ENGLISH, *_FRENCH, *_GERMAN)), re.IGNORECASE)

#: A "not" that stands up to three words before, in the same clause; "not only" turns nothing round.
_NOT: Final = re.compile(
    r"(?:\b(?:not|never|no|nothing|neither|nor|cannot|hardly|pas|jamais|non|ni|aucune?|nicht|nie|niemals"
    r"|keine?[rsnm]?|weder|noch)\b(?! (?:only|just|merely|seulement|uniquement|nur|bloß)\b)"
    r"|\w+n't\b)(?:[ ]\w[\w'-]*){0,3}[ -]$",
    re.IGNORECASE,
)
#: "Keep your needles safe" asks for care and promises none.
_KEEP: Final = re.compile(
    r"\b(?:keep|keeps|kept|keeping|stay|play|stored?)(?: [\w'-]+){0,4} $", re.IGNORECASE
)


def claims_in(text: str) -> tuple[str, ...]:
    """The phrases of `text` that claim what no kit may claim, in the order they stand."""
    plain = _plain(text)
    found = (match for match in _CLAIM.finditer(plain) if not _turned(plain[: match.start()], match[0]))
    return tuple(match[0].strip() for match in found)


def _plain(text: str) -> str:
    """Text in one line with plain hyphens, apostrophes and spaces, without what is not seen."""
    text = re.sub("[\u00ad\u200b-\u200d\u2060\ufeff]", "", unicodedata.normalize("NFKC", text))
    text = re.sub("[\u2010-\u2013\u2212]", "-", text).replace("\u2019", "'")
    return " ".join(text.split())


def _turned(before: str, phrase: str) -> bool:
    """Whether what stands before a phrase makes it no claim."""
    if _NOT.search(before):
        return True
    return phrase.lower() == "safe" and bool(_KEEP.search(before))
