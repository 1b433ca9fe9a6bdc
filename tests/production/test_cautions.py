"""Cautions: each row of the tables, each trigger alone, and all combinations by rules of the test's own."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitbuild.build import make
from kitbuild.documents.wording import wording
from kitbuild.production.ages import DUTIES, Check, checks
from kitbuild.production.box import is_toy
from kitbuild.production.cautions import HAZARDS, WORDS, Hazard, notes
from kitbuild.production.rules import before
from kitbuild.production.statutes import SMALL_PARTS_EU, SMALL_PARTS_US
from kitbuild.spec.materials import Part
from kitbuild.spec.records import Kit
from kitbuild.spec.schema import load_schema
from tests.figures import rows
from tests.pattern.builders import SLEEVE, piece
from tests.production.boxes import (
    WOVEN,
    film,
    ids,
    needle,
    note_of,
    packed,
    plain,
    round_thing,
    sleeve_round,
    used_as,
    with_extra,
)

TABLE = {hazard.id: hazard for hazard in HAZARDS}
SAY = wording("en")
#: Rows of the table that are called otherwise here; the note for adults is split in two.
CALLED = {"tin": ("cut_metal",), "adult_kit": ("sharp_points", "small_parts")}
BARE = {"small_parts", "sharp_points", "bleed", "nickel"}
"""Every box holds needles and dyed thread."""


def told(one: Kit, id: str) -> str:
    """The words of a note in English."""
    note = note_of(one, id)
    return note.statutory or SAY(f"caution.{id}", **note.values)


def due_checks(one: Kit) -> set[str]:
    return {check.id for check in checks(one)}


def child(age: int, toy: bool | None = None, **more: Any) -> Kit:
    return plain(age_grade=f"{age} years", toy=toy, **more)


# --- the table of notes


@pytest.mark.parametrize("row", rows("cautions.csv"), ids=lambda row: row["id"])
def test_each_row_has_its_rule(row: dict[str, str]) -> None:
    """Facts bear no signal word, whatever the table calls them; the adults' note is split by its harm."""
    for id in CALLED.get(row["id"], (row["id"],)):
        rule = TABLE[id]
        word = "WARNING" if id == "small_parts" else row["signal"].upper()
        facts = ("wool", "moth", "nickel")
        assert rule.severity.upper() == ("FACT" if id in facts else word)
        for source in (
            "16 CFR",
            "RI Gen. Laws 11-9-16(b)",
            "Code 22200",
            "2009/48/EC",
            "REACH",
            "EN 71-1",
            "ISO 105",
        ):
            if source in row["citation"] and id != "small_parts":
                assert source in rule.citation
        if "recalled" in row["label"]:
            assert rule.label == "recalled"
        if row["label"].startswith("common practice") and row["id"] != "adult_kit":
            assert rule.label == "common practice"
        if row["label"] == "published":
            assert rule.label == "published"


def test_no_rule_is_made_up_but_those_for_canvas_and_coasters() -> None:
    named = {id for row in rows("cautions.csv") for id in CALLED.get(row["id"], (row["id"],))}
    assert set(TABLE) - named == {"plastic_stubs", "no_heat", "hot_pans"}


#: What could happen at worst, by this test's own lights.
HARM = {
    "death or serious injury": {
        "small_parts",
        "small_parts_us",
        "small_parts_eu",
        "magnet",
        "bag_us",
        "flame",
    },
    "minor or moderate injury": {"sharp_points", "plastic_stubs", "glass", "cut_metal"},
    "not injury (property, practice)": {"no_heat", "hot_pans", "bleed"},
}


@pytest.mark.parametrize("row", rows("signal_words.csv"), ids=lambda row: row["word"])
def test_signal_words_follow_the_harm(row: dict[str, str]) -> None:
    """Nothing here will kill for certain, so that nothing is a danger; California has its own word."""
    severities = {hazard.severity.upper() for hazard in HAZARDS}
    if row["word"] == "DANGER":
        assert "DANGER" not in severities
        return
    for id in HARM[row["harm"]]:
        assert TABLE[id].severity.upper() == row["word"]
    assert {"bag_ca", *set().union(*HARM.values())} == {
        hazard.id for hazard in HAZARDS if hazard.severity != "fact"
    }


@pytest.mark.parametrize("hazard", HAZARDS, ids=lambda hazard: hazard.id)
def test_what_was_not_read_is_to_be_checked(hazard: Hazard) -> None:
    """Wordings from memory, tests from memory, and a statute that is told in our own words."""
    note = note_of(KITS[hazard.id], hazard.id)
    assert note.checked is (hazard.id in ("small_parts_us", "small_parts_eu", "bag_ca", "bleed"))
    assert bool(note.statutory) is (hazard.id in ("small_parts_us", "small_parts_eu", "bag_us"))
    assert (note.citation, note.label, note.severity) == (hazard.citation, hazard.label, hazard.severity)


def test_the_most_severe_note_stands_first() -> None:
    order = ("warning", "caution", "notice", "fact")
    seen = [order.index(hazard.severity) for hazard in HAZARDS]
    assert seen == sorted(seen)


def test_statutes_are_printed_to_the_letter() -> None:
    table = {row["id"]: row["statutory_wording"] for row in rows("cautions.csv")}
    assert told(child(5, toy=True), "small_parts_us") == table["small_parts_us"] == SMALL_PARTS_US.words
    eu = told(child(9, toy=True), "small_parts_eu")
    assert eu == "Warning. Not suitable for children under 36 months. Small parts. Sharp points."
    assert table["small_parts_eu"].startswith("Not suitable for children under 36 months")
    assert SMALL_PARTS_EU.words in eu
    assert told(child(9, True, needles=needle(70)), "small_parts_eu").endswith("36 months. Sharp points.")


# --- each trigger alone


KITS = {
    "small_parts_us": child(5, toy=True),
    "small_parts_eu": child(9, toy=True),
    "bag_us": with_extra("plastic", bag=film("6", "0.0005")),
    "bag_ca": with_extra("plastic", bag=film("4.5", "0.0005")),
    "magnet": with_extra(hazards=("magnet",)),
    "flame": with_extra(hazards=("flame",)),
    "glass": with_extra("glass"),
    "cut_metal": with_extra(hazards=("sharp edge",)),
    "plastic_stubs": replace(plain(), pieces=(piece(),)),
    "no_heat": replace(plain(), pieces=(piece(),)),
    "hot_pans": used_as("coaster"),
    "wool": plain(fibre="wool"),
    "moth": plain(fibre="silk"),
    **dict.fromkeys(BARE, plain()),
}


@pytest.mark.parametrize(
    ("one", "due"),
    [
        (plain(), set()),
        (with_extra("card", "paper", "plastic", "wood", "textile"), set()),
        (with_extra(hazards=("sharp point", "small parts", "scissors")), set()),
        (with_extra("metal"), set()),
        (with_extra("metal", hazards=("magnet",)), {"magnet"}),
        (sleeve_round("card", "magnet"), {"magnet", "flame"}),
        (with_extra(hazards=("glass",)), {"glass"}),
        (with_extra("glass"), {"glass"}),
        (sleeve_round("glass"), {"glass", "flame"}),
        (sleeve_round("card", "glass"), {"glass", "flame"}),
        (with_extra(hazards=("sharp edge",)), {"cut_metal"}),
        (sleeve_round("metal"), {"cut_metal", "flame"}),
        (sleeve_round("plastic", "sharp edge"), {"cut_metal", "flame"}),
        (sleeve_round("card"), {"flame"}),
        (sleeve_round("card", "flame"), {"flame"}),
        (used_as("shade"), {"flame"}),
        (used_as("lantern"), {"flame"}),
        (used_as("cushion"), set()),
        (used_as("box"), set()),
        (used_as("coaster"), {"hot_pans"}),
        (with_extra(hazards=("flame",)), {"flame"}),
        (with_extra("wool"), {"wool", "moth"}),
        (sleeve_round("wool"), {"wool", "moth", "flame"}),
        (plain(fibre="wool"), {"wool", "moth"}),
        (plain(fibre="silk"), {"wool", "moth"}),
        (plain(fibre="linen"), set()),
        (replace(plain(), pieces=(piece(),)), {"plastic_stubs", "no_heat"}),
        (with_extra("plastic", bag=film("6", "0.0005")), {"bag_us", "bag_ca"}),
        (with_extra("plastic", bag=film("4.5", "0.0005")), {"bag_ca"}),
        (child(14), set()),
        (child(13), {"small_parts_eu"}),
        (child(13, toy=False), set()),
        (child(5), {"small_parts_us", "small_parts_eu"}),
        (child(6), {"small_parts_eu"}),
        (child(3, toy=True), {"small_parts_us", "small_parts_eu"}),
        (child(5, toy=False), set()),
        (child(5, True, needles=needle(70)), {"small_parts_eu"}),
        (child(2, True, needles=needle(70)), set()),
    ],
)
def test_a_note_is_due_for_its_hazard_alone(one: Kit, due: set[str]) -> None:
    assert ids(one) == BARE | due


def test_every_rule_has_its_trigger_here() -> None:
    marked = test_a_note_is_due_for_its_hazard_alone.pytestmark[0].args[1]  # type: ignore[attr-defined]
    assert set(TABLE) == BARE.union(*(due for _, due in marked))


def test_the_note_on_running_colours_goes_when_all_threads_are_tested() -> None:
    assert "bleed" not in ids(plain(tested=True))
    one = plain(tested=True)
    first = one.palette[0]
    untested = replace(first, thread=replace(first.thread, colour_tested=False))
    assert "bleed" in ids(replace(one, palette=(untested, *one.palette[1:])))


# --- the words


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (plain(), "Needles have sharp points."),
        (with_extra(hazards=("scissors",)), "Needles and scissors have sharp points."),
        (with_extra(hazards=("sharp point",)), "Needles and other things in the box have sharp points."),
        (
            with_extra(hazards=("scissors", "sharp point")),
            "Needles, scissors and other things in the box have sharp points.",
        ),
    ],
)
def test_points_are_named_where_there_are_some(one: Kit, words: str) -> None:
    assert told(one, "sharp_points").startswith(f"{words} ")


LONG = needle(70)


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (
            plain(),
            "This kit is for adults. Needles can be swallowed, and loose thread can choke or entangle.",
        ),
        (child(14), "Needles can be swallowed, and loose thread"),
        (
            with_extra(hazards=("small parts",)),
            "This kit is for adults. Needles and other small parts can be",
        ),
        (
            with_extra("plastic", parts=(Part("sphere", (12.0,)),), needles=LONG),
            "This kit is for adults. Small parts",
        ),
        (
            with_extra("plastic", parts=(Part("sphere", (40.0,)),), needles=LONG),
            "This kit is for adults. Loose thread",
        ),
        (
            with_extra("textile", parts=(Part("sphere", (12.0,)),), needles=LONG),
            "This kit is for adults. Loose thread",
        ),
        (
            with_extra("paper", "wood", parts=(Part("disc", (12.0,)),), needles=LONG),
            "This kit is for adults. Small",
        ),
        (plain(needles=needle(42)), "This kit is for adults. Needles can be swallowed"),
        (plain(needles=(*needle(70), *needle(42))), "This kit is for adults. Needles can be swallowed"),
    ],
)
def test_small_parts_are_named_where_they_fit_the_cylinder(one: Kit, words: str) -> None:
    """Paper and cloth do not count, whatever their size."""
    assert told(one, "small_parts").startswith(words)


def test_whom_to_keep_it_from() -> None:
    assert "away from children and from pets" in told(child(14), "small_parts")
    assert "away from infants and small children and from pets" in told(child(9), "small_parts")


def test_animals_are_named() -> None:
    both = replace(plain(fibre="silk"), extras=(packed("wool"),))
    said = [told(one, "wool").partition(".")[0] for one in (plain(fibre="wool"), plain(fibre="silk"), both)]
    assert said == [
        "Contains wool (animal fibre)",
        "Contains silk (animal fibre)",
        "Contains wool and silk (animal fibres)",
    ]


def test_words_beside_their_matter() -> None:
    assert "wet wool" in told(plain(fibre="wool"), "bleed")
    assert "wool" not in told(plain(), "bleed")
    assert told(sleeve_round("metal"), "cut_metal").startswith("Metal edges")
    assert told(sleeve_round("plastic", "sharp edge"), "cut_metal").startswith("Edges can")


# --- age grades and duties

BANDS = {
    (row["lower_age_years"], row["upper_age_years_exclusive"], row["rule"]): row
    for row in rows("age_bands.csv")
}
MARBLE = (packed("glass", parts=(Part("sphere", (16.0,)),)),)
#: Beginning of a rule of the table -> what follows from it: a note or a line to check.
FOLLOWS = {
    "small parts ban": "check.small_parts_ban",
    "toy or game with small part": "small_parts_us",
    "marbles": "check.small_balls",
    "sharp point and sharp edge tests": "check.points_under_8",
    "children's product": "check.childrens_product",
    "toy in EU law": "check.toy_eu",
    "EU: functional sharp": "small_parts_eu",
}


@pytest.mark.parametrize("row", rows("age_bands.csv"), ids=lambda row: row["rule"][:24])
@pytest.mark.parametrize("age", range(1, 18))
def test_each_band(row: dict[str, str], age: int) -> None:
    """A toy with marbles: what is due at each age is what the band says."""
    name = next(id for begins, id in FOLLOWS.items() if row["rule"].startswith(begins))
    due = int(row["lower_age_years"]) <= age < int(row["upper_age_years_exclusive"])
    one = child(age, toy=True, extras=MARBLE)
    found = ids(one) | {f"check.{id}" for id in due_checks(one)}
    assert (name in found) is due


@pytest.mark.parametrize("duty", DUTIES, ids=lambda duty: duty.id)
def test_duties_have_their_sources(duty: Any) -> None:
    cited = " ".join(row["citation"] for row in rows("age_bands.csv")) + " ".join(
        row["citation"] for row in rows("cautions.csv")
    )
    first = duty.citation.partition(";")[0].partition(",")[0].removesuffix("(c)")
    assert (
        first in cited.replace("Directive 2009/48/EC art.2(1)", "Directive 2009/48/EC art. 2(1)")
        or duty.id == "sizes"
    )


def test_adults_have_no_duties() -> None:
    assert due_checks(plain()) == due_checks(child(14)) == set()
    assert due_checks(child(12, toy=False)) == {"childrens_product"}
    assert due_checks(child(7, toy=False)) == {"childrens_product", "points_under_8"}


def test_small_balls_are_for_toys_with_balls() -> None:
    assert "small_balls" not in due_checks(child(5, toy=True))
    assert "small_balls" not in due_checks(child(5, toy=False, extras=MARBLE))
    large = (packed("wood", parts=(Part("sphere", (44.5,)),)),)
    assert "small_balls" not in due_checks(child(5, toy=True, extras=large))


def line(one: Kit, id: str) -> Check:
    return next(check for check in checks(one) if check.id == id)


def test_points_are_for_children_from_36_months() -> None:
    assert dict(line(child(3), "points_eu").values) == {"allowed": True}
    assert dict(line(child(2), "points_eu").values) == {"allowed": False}


def test_extras_without_measures_are_told_for_toys() -> None:
    small = packed(hazards=("small parts",))
    assert line(child(9, extras=(packed("wood"), small)), "sizes").values["names"] == ("thing",)
    assert "sizes" not in due_checks(child(9, extras=(small,)))
    assert "sizes" not in due_checks(child(9, extras=(packed("textile", "paper"), *MARBLE)))
    assert "sizes" not in due_checks(plain(extras=(packed("wood"),)))


def test_bags_are_labelled_themselves() -> None:
    wide, narrow = (with_extra("plastic", bag=film(opening, "0.0005", "35")) for opening in ("8", "4.5"))
    assert dict(line(wide, "bag").values) == {"points": 14, "reported": True}
    assert dict(line(narrow, "bag").values) == {"points": 0, "reported": False}


@pytest.mark.parametrize(
    ("age_grade", "toy", "counts"),
    [
        ("adult", None, False),
        ("14 years", None, False),
        ("13 years", None, True),
        ("13 years", False, False),
        ("adult", True, True),
    ],
)
def test_what_counts_as_a_toy(age_grade: str, toy: bool | None, counts: bool) -> None:
    assert is_toy(plain(age_grade=age_grade, toy=toy)) is counts


def codes(one: Kit) -> list[str]:
    return [f"{problem.code}{'w' if problem.warning else ''}" for problem in before(one)]


def test_a_toy_is_said_to_be_one() -> None:
    assert codes(child(13)) == ["KB605w"]
    assert (
        codes(child(13, toy=True)) == codes(child(13, toy=False)) == codes(child(14)) == codes(plain()) == []
    )


@pytest.mark.parametrize("age", [1, 2, 3])
def test_small_parts_are_banned_below_three(age: int) -> None:
    """Whether it is a toy or not; what does not fit is not banned."""
    for toy in (True, False):
        assert codes(child(age, toy)) == ([] if age == 3 else ["KB604"])
        assert codes(child(age, toy, needles=LONG)) == []
        marble = child(age, toy, needles=LONG, extras=MARBLE)
        assert codes(marble) == ([] if age == 3 else ["KB604"])


# --- words without a note


@pytest.mark.parametrize(
    "one",
    [
        with_extra(hazards=("acid",)),
        with_extra("asbestos"),
        sleeve_round("metal", "acid"),
        sleeve_round("lead"),
        plain(fibre="nettle"),
    ],
)
def test_a_word_without_a_note_stops_the_build(one: Kit) -> None:
    (problem,) = set(before(one))
    assert (problem.code, problem.warning) == ("KB603", False)
    assert problem.cure.startswith("use `")
    with pytest.raises(Exception, match="KB603"):
        make(one)


def enum(kind: str, part: str, key: str) -> set[str]:
    found = load_schema(kind)["$defs"][part]["properties"][key]
    return set(found.get("items", found)["enum"])


def test_every_word_of_the_schemas_is_known() -> None:
    """Each leads to a note, or is known to need none; and the editor offers no word that stops the build."""
    assert (
        enum("materials", "extra", "hazards") == enum("kit", "goes_round", "hazards") == set(WORDS["hazard"])
    )
    assert (
        enum("materials", "extra", "made_of")
        == enum("kit", "goes_round", "made_of")
        == set(WORDS["material"])
    )
    assert enum("materials", "thread", "fibre") == set(WORDS["fibre"])


@pytest.mark.parametrize(("kind", "word"), [(kind, word) for kind, words in WORDS.items() for word in words])
def test_every_word_leads_where_it_says(kind: str, word: str) -> None:
    one = plain(fibre=word) if kind == "fibre" else with_extra(word) if kind == "material" else None
    found = ids(one or with_extra(hazards=(word,)))
    assert set(WORDS[kind][word]) <= found
    assert found - BARE <= set(WORDS[kind][word])


@pytest.mark.parametrize("id", [hazard.id for hazard in HAZARDS if not hazard.statute])
def test_every_note_has_its_sentence(id: str) -> None:
    assert told(KITS[id], id).endswith(".")


# --- all combinations

HAZARD_WORDS = sorted(WORDS["hazard"])
MATERIALS = sorted(WORDS["material"])
PARTS = {"small": Part("sphere", (12.0,)), "large": Part("disc", (40.0,))}
BAGS = {
    "head": film("4.5", "0.0005"),
    "ri": film("6", "0.0009"),
    "tiny": film("3", "0.0005"),
    "thick": film("9", "0.002"),
}


@st.composite
def boxes(draw: st.DrawFn) -> dict[str, Any]:
    """What is in a box, in plain words."""
    some = st.sets(st.sampled_from(HAZARD_WORDS), max_size=3)
    extras = st.fixed_dictionaries(
        {
            "made_of": st.sets(st.sampled_from(MATERIALS), min_size=1, max_size=3),
            "hazards": some,
            "parts": st.sets(st.sampled_from(sorted(PARTS)), max_size=2),
            "bag": st.sampled_from(["", *sorted(BAGS)]),
        }
    )
    objects = st.fixed_dictionaries({"made_of": st.sampled_from(MATERIALS), "hazards": some})
    uses = ("coaster", "cushion", "panel", "ornament", "shade", "lantern", "other")
    return {
        "age": draw(st.integers(1, 18)),
        "toy": draw(st.sampled_from([None, True, False])),
        "long": draw(st.booleans()),
        "fibre": draw(st.sampled_from(sorted(WORDS["fibre"]))),
        "tested": draw(st.booleans()),
        "plastic": draw(st.booleans()),
        "use": draw(st.sampled_from(uses)),
        "round": draw(st.none() | objects),
        "extras": draw(st.lists(extras, max_size=3)),
    }


def kit_of(said: dict[str, Any]) -> Kit:
    cloth = {} if said["plastic"] else {"canvas": WOVEN}
    around = said["round"]
    if around:
        thing = round_thing(around["made_of"], *sorted(around["hazards"]))
        one = piece(use="sleeve", finish=SLEEVE, goes_round=thing, **cloth)
    else:
        one = piece(use=said["use"], **cloth)
    extras = tuple(
        packed(
            *sorted(each["made_of"]),
            hazards=tuple(sorted(each["hazards"])),
            parts=tuple(PARTS[name] for name in sorted(each["parts"])),
            bag=BAGS.get(each["bag"]),
        )
        for each in said["extras"]
    )
    age = "adult" if said["age"] == 18 else f"{said['age']} years"
    made = plain(
        fibre=said["fibre"],
        tested=said["tested"],
        age_grade=age,
        toy=said["toy"],
        needles=needle(70.0 if said["long"] else None),
        extras=extras,
    )
    return replace(made, pieces=(one,))


def due(said: dict[str, Any]) -> set[str]:
    """The notes that are due, in this test's own words."""
    extras, around = said["extras"], said["round"] or {"made_of": "", "hazards": set()}
    hazards = set(around["hazards"]).union(*(each["hazards"] for each in extras))
    made_of = {around["made_of"]}.union(*(each["made_of"] for each in extras))
    bags = {each["bag"] for each in extras}
    soft = {"paper", "textile", "wool"}
    counted = [each["parts"] for each in extras if each["made_of"] - soft]
    fits = not said["long"] or "small parts" in hazards or any("small" in parts for parts in counted)
    toy = said["age"] < 14 if said["toy"] is None else said["toy"]
    found = {"small_parts", "sharp_points", "nickel"}
    found |= {"bleed"} if not said["tested"] else set()
    found |= {"wool", "moth"} if said["fibre"] in ("wool", "silk") or "wool" in made_of else set()
    found |= {"plastic_stubs", "no_heat"} if said["plastic"] else set()
    found |= {"hot_pans"} if not said["round"] and said["use"] == "coaster" else set()
    found |= {"magnet"} & hazards
    found |= {"glass"} & (hazards | made_of)
    found |= {"cut_metal"} if around["made_of"] == "metal" or "sharp edge" in hazards else set()
    if said["round"] or said["use"] in ("shade", "lantern") or "flame" in hazards:
        found.add("flame")
    found |= {"bag_us"} if "ri" in bags else set()
    found |= {"bag_ca"} if bags & {"ri", "head"} else set()
    found |= {"small_parts_us"} if toy and said["age"] in (3, 4, 5) and fits else set()
    found |= {"small_parts_eu"} if toy and 3 <= said["age"] <= 13 else set()
    return found


@given(boxes())
@settings(max_examples=300, deadline=None)
def test_no_hazard_without_a_note_and_no_note_without_a_hazard(said: dict[str, Any]) -> None:
    one = kit_of(said)
    assert ids(one) == due(said)
    order = [hazard.id for hazard in HAZARDS]
    found = [note.id for note in notes(one)]
    assert found == sorted(found, key=order.index)


@given(boxes())
@settings(max_examples=150, deadline=None)
def test_the_words_name_what_is_there_and_nothing_else(said: dict[str, Any]) -> None:
    """Scissors, silk and metal rims are named when they are in the box or covered, and only then."""
    one = kit_of(said)
    text = " ".join(told(one, note.id) for note in notes(one))
    hazards = {word for each in (*said["extras"], said["round"] or {}) for word in each.get("hazards", ())}
    assert ("scissors" in text) is ("scissors" in hazards)
    assert ("silk" in text) is (said["fibre"] == "silk")
    assert ("Metal edges" in text) is bool(said["round"] and said["round"]["made_of"] == "metal")
    assert ("adults" in text) is (said["age"] == 18)
