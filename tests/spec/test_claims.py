"""Claims and mere words in three languages, and where a claim may stand after all."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitbuild.build import make
from kitbuild.documents.wording import languages, wording
from kitbuild.spec.claims import CLAIMS, claims_in
from kitbuild.spec.folder import read_range
from tests.spec.ranges import KITS, case_kit, copy_kits, kit_text, read_with

#: Texts and the phrases that are found in them.
CLAIMED = {
    "This kit is safe.": ("safe",),
    "A child-safe toy": ("child-safe",),
    "It is kidsafe": ("kidsafe",),
    "safe for children": ("safe",),
    "food safe": ("safe",),
    "a safe gift": ("safe",),
    "Keep this safe toy": ("safe",),
    "Keep it: it is safe.": ("safe",),
    "not only safe but pretty": ("safe",),
    "This is not a toy and is safe for children.": ("safe",),
    "No other kit is as safe.": ("safe",),
    "Never leave this child-safe kit alone.": ("child-safe",),
    "It can be used safely": ("can be used safely",),
    "Can safely be given to children": ("Can safely",),
    "safety tested": ("safety tested",),
    "meets all safety standards": ("meets all safety standards",),
    "harmless dyes": ("harmless",),
    "non-toxic": ("non-toxic",),
    "Nontoxic and child safe": ("Nontoxic", "safe"),
    "The dyes are not toxic.": ("not toxic",),
    "If you want a non-toxic kit, this is it.": ("non-toxic",),
    "hypoallergenic": ("hypoallergenic",),
    "hypo-allergenic wool": ("hypo-allergenic",),
    "allergen free": ("allergen free",),
    "fireproof": ("fireproof",),
    "flame-proof": ("flame-proof",),
    "fire resistant": ("fire resistant",),
    "non-flammable": ("non-flammable",),
    "colourfast": ("colourfast",),
    "colour-fast": ("colour-fast",),
    "Colorfast dyes": ("Colorfast",),
    "The colours will not run.": ("colours will not run",),
    "résistante au feu": ("résistante au feu",),
    "does not contain nickel": ("does not contain nickel",),
    "répond aux normes": ("répond aux normes",),
    "normgerecht": ("normgerecht",),
    "It is not expensive, safe and fun.": ("safe",),
    "nickel-free": ("nickel-free",),
    "free of nickel": ("free of nickel",),
    "contains no nickel": ("no nickel",),
    "EN 71 certified": ("certified",),
    "certified wool": ("certified",),
    "Oeko-Tex wool": ("Oeko-Tex",),
    "CE marked": ("CE marked",),
    "complies with EN 71": ("complies with EN 71",),
    "REACH compliant": ("compliant",),
    "conforms to EN 71-1": ("conforms to EN 71",),
    "tested to EN 71": ("tested to EN 71",),
    "meets the requirements": ("meets the requirements",),
    "sans danger": ("sans danger",),
    "Sûr pour les enfants": ("Sûr pour les enfants",),
    "totalement sûr": ("sûr",),
    "s'utilise en toute sécurité": ("en toute sécurité",),
    "non toxique": ("non toxique",),
    "hypoallergénique": ("hypoallergénique",),
    "ignifugé": ("ignifugé",),
    "grand teint": ("grand teint",),
    "sans nickel": ("sans nickel",),
    "laine certifiée": ("certifiée",),
    "conforme à la norme EN 71": ("conforme à",),
    "marquage CE": ("marquage CE",),
    "sicher für Kinder": ("sicher",),
    "kindersicher": ("kindersicher",),
    "ein sicheres Spielzeug": ("sicheres",),
    "unbedenkliche Farben": ("unbedenkliche",),
    "ungiftig": ("ungiftig",),
    "nicht giftig": ("nicht giftig",),
    "hypoallergen": ("hypoallergen",),
    "feuerfest": ("feuerfest",),
    "schwer entflammbar": ("schwer entflammbar",),
    "farbechte Wolle": ("farbechte",),
    "färbt nicht ab": ("färbt nicht ab",),
    "nickelfrei": ("nickelfrei",),
    "zertifizierte Wolle": ("zertifizierte",),
    "entspricht der Norm EN 71": ("entspricht der Norm EN 71",),
    "Entspricht EN 71": ("Entspricht EN 71",),
    "entspricht der Spielzeugrichtlinie": ("entspricht der Spielzeugrichtlinie",),
    "CE-Kennzeichnung": ("CE-Kennzeichnung",),
}
WORDS = """
Keep the needles in a safe place.
Store safely, away from children.
Needles can be stored safely in a tin.
Keep the needles safe.
Store it in a safe.
Cut one more length to be safe.
Not safe for children.
This is unsafe for infants.
It isn't safe near a candle.
We make no claim that it is safe or colourfast.
Better safe than sorry.
Safe journey
Close it with a safety pin.
The wool is not colourfast and may run.
Test each colour for colourfastness.
Test whether the wool is colourfast.
Check that the colours do not run.
If the colours do not run, wash it by hand.
The thread will not run out.
Neither safe nor certified.
Nothing here is certified or tested.
Sold by an uncertified dyer.
It is not fireproof, non-toxic or nickel-free.
Metal parts may contain nickel.
Comply with the washing instructions.
Conform the backing to the shape.
The blocks conform to the frame.
A gift certificate is in the box.
A fast first project, with a run of small stitches.
Wipe with a damp cloth and dry flat.
Bien sûr, la laine se lave à la main.
Rangez les aiguilles en lieu sûr.
Rangez les aiguilles en toute sécurité.
Ce n'est pas sans danger pour les enfants.
Ni sûr ni certifié.
La laine n'est pas grand teint.
Conformément aux instructions.
Il est plus sûr de laver à la main.
Bewahren Sie die Nadeln sicher auf.
Nadeln sicher aufbewahren, an einem sicheren Ort.
Stellen Sie sicher, dass die Nadel passt.
Nicht sicher für Kinder.
Den Faden sichern. Mit einer Sicherheitsnadel befestigen.
Die Wolle ist nicht farbecht.
Auf Farbechtheit prüfen.
Ein Kästchen entspricht einem Loch.
Weder zertifiziert noch geprüft.
""".strip().splitlines()


@pytest.mark.parametrize("text", CLAIMED)
def test_a_claim_is_found(text: str) -> None:
    assert claims_in(text) == CLAIMED[text]


@pytest.mark.parametrize("text", WORDS)
def test_mere_words_are_no_claim(text: str) -> None:
    assert claims_in(text) == ()


@pytest.mark.parametrize("text", CLAIMED)
def test_case_breaks_and_marks_hide_nothing(text: str) -> None:
    shout = text.upper() if "CE" not in text and "EN 71" not in text else text
    assert len(claims_in(shout)) == len(CLAIMED[text])
    for other in (
        text.replace(" ", "\n"),
        text.replace(" ", "\u00a0"),
        text.replace("-", "\u2011"),
        f"*{text}*",
    ):
        assert len(claims_in(other)) == len(CLAIMED[text]), other
    assert claims_in(text.replace("toxic", "to\u00adxic")) == CLAIMED[text]


@pytest.mark.parametrize("claim", CLAIMS, ids=lambda claim: claim.words[:30])
def test_every_pattern_is_met_by_a_text(claim: object) -> None:
    assert any(re.search(claim.words, text, re.IGNORECASE) for text in CLAIMED)  # type: ignore[attr-defined]


@given(st.sampled_from(list(CLAIMED)), st.sampled_from(WORDS), st.booleans())
def test_other_sentences_hide_no_claim(text: str, words: str, first: bool) -> None:
    whole = f"{text}. {words}" if first else f"{words} {text}"
    assert claims_in(whole) == CLAIMED[text]


@given(st.text(max_size=200))
def test_any_text_can_be_read(text: str) -> None:
    assert all(claims_in(text))


@pytest.mark.parametrize("text", ["a" * 2000, "safe " * 400, "not " * 500 + "safe", "keep a " * 280 + "safe"])
def test_long_texts_are_read(text: str) -> None:
    claims_in(text)


@pytest.mark.parametrize("language", languages())
def test_our_own_sentences_claim_nothing(language: str) -> None:
    claims = {id: claims_in(text) for id, text in wording(language).sentences.items()}
    assert {id: found for id, found in claims.items() if found} == {}


# --- where a claim stands


def told(folder: Path, name: str, text: str) -> list[tuple[str, str, bool]]:
    problems = read_with(folder, name, text.encode())[1]
    return [(each.place.file, each.code, each.warning) for each in problems]


def test_an_accepted_claim_is_on_the_proof(tmp_path: Path) -> None:
    text = kit_text(more="accept: {KB335: the name of the valley}").replace(
        "title: Case kit", "title: Safe kit"
    )
    found, problems = read_with(tmp_path, "case.yaml", text.encode())
    assert found is not None
    kit = next(kit for kit in found.kits if kit.code == "CASE")
    made = make(kit, problems)
    assert [problem.code for problem in made.accepted] == ["KB335"]
    assert "KB335" not in {problem.code for problem in made.warnings}
    proof = next(document for document in made.documents if document.name == "proof")
    assert "the name of the valley" in str(proof.blocks)


def test_an_idle_acceptance_is_told(tmp_path: Path) -> None:
    kit = case_kit(tmp_path, kit_text(more="accept: {KB335: we know}"))
    assert "KB323" in {problem.code for problem in make(kit).warnings}


def test_reasons_and_bins_may_say_what_they_like(tmp_path: Path) -> None:
    text = kit_text(more="accept: {KB506: it is safe and certified}")
    assert told(tmp_path, "case.yaml", text) == []


HOOK = "{title: Nickel-free hook, unit: piece, made_of: [metal], cost: 0.1, bin: E-1}"
MATERIAL = f"kind: materials\nextras:\n  hook-1: {HOOK}\n"
ACCEPT = "accept: {KB335: tested by the maker}\n"


@pytest.mark.parametrize(
    ("one", "other", "warns"),
    [(ACCEPT, ACCEPT, True), (ACCEPT, "", False), ("", "", False), (ACCEPT, None, True), (None, None, False)],
)
def test_materials_are_accepted_by_all_kits_that_pack_them(
    one: str | None, other: str | None, warns: bool, tmp_path: Path
) -> None:
    """A title of the materials stands in the papers of each kit that packs the thing; None packs it not."""
    kits = copy_kits(tmp_path)
    (kits / "more.yaml").write_text(MATERIAL)
    for code, accept in (("CASE", one), ("CASETWO", other)):
        extras = "" if accept is None else f"extras: {{hook-1: 1}}\n{accept}"
        text = kit_text(more=extras).replace("code: CASE\n", f"code: {code}\n")
        (kits / f"{code.lower()}.yaml").write_text(text)
    (problem,) = (each for each in read_range(kits)[1] if each.code == "KB335")
    assert (problem.place.file, problem.warning) == ("kits/more.yaml", warns)


def test_the_workshop_stands_on_all_papers(tmp_path: Path) -> None:
    text = (
        (KITS / "workshop.yaml").read_text(encoding="utf-8").replace("name: Quill", "name: Certified Quill")
    )
    assert told(tmp_path, "workshop.yaml", text) == [("kits/workshop.yaml", "KB335", False)]


def test_words_that_customers_never_see_are_left_alone(tmp_path: Path) -> None:
    """A tester's remark stands on the proof alone."""
    text = (
        (KITS / "whin-coaster-test.yaml")
        .read_text(encoding="utf-8")
        .replace("remarks: ", "remarks: Felt safe. ")
    )
    assert told(tmp_path, "whin-coaster-test.yaml", text) == []
