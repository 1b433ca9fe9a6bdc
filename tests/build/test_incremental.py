"""Whatever is edited, in whatever order: a build of what changed leaves the bytes of a build from nothing."""

from __future__ import annotations

import hashlib
import shutil
import tempfile
from pathlib import Path

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, rule

from tests.build.places import digests
from tests.build.tiny import kit, quick, tiny_shop

KEYS = ("aaa", "bbb", "ccc")
SWAPS = (
    ("materials.yaml", "bin: A-02", "bin: Z-99"),
    ("materials.yaml", "bin: A-07", "bin: Z-98"),
    ("materials.yaml", "bin: C-02", "bin: Z-97"),
    ("materials.yaml", "cost: 1.35, bin: A-01", "cost: 9.95, bin: A-01"),
    ("materials.yaml", "colour_name: Moss", "colour_name: Fen"),
    (
        "materials.yaml",
        "thickness: 1.9 mm, cost: 1.35, bin: A-02",
        "thickness: 1.7 mm, cost: 1.35, bin: A-02",
    ),
    ("materials.yaml", "kind: materials\n", "# a line more\nkind: materials\n"),
    ("workshop.yaml", "name: Quillmere Stitch Room", "name: Quillmere Room"),
    ("workshop.yaml", "wage: 16.00", "wage: 400.00"),
    ("workshop.yaml", "needleful: 76 cm", "needleful: 60 cm"),
    ("workshop.yaml", "papers: [A4]", "papers: [A4, Letter]"),
    ("workshop.yaml", "park: true", "park: false"),
)
OF_A_KIT = (
    ("edition: 1\n", "edition: 2\n"),
    ("title: Coaster\n", "title: Mat\n"),
    ("price: 34.00\n", "price: 1.00\n"),
    ("price: 1.00\n", "price: 1.00\naccept: {KB602: it is a gift}\n"),
    ("thread: wool-0488", "thread: wool-0702"),
    ("colours: [bark, moss]", "colours: [moss, bark]"),
    ("    rows: 15\n", "    rows: 19\n"),
    ("kind: kit\n", "kind: kit\n\n# a line more\n"),
    ("copies: 1\n", "copies: 2\n"),
    ("policy: clean holes\n", "policy: save thread\n"),
    ("repeats: 1\n", "repeats: none\n"),
)
OWN_WORDS = "kind: wording\nlanguage: en\nsentences: {closing: 'Enjoy it.'}\n"


class Editing(RuleBasedStateMachine):
    """A maker at work on a range, who builds now and then; that is compared with a build from nothing."""

    clean: dict[str, dict[str, str]] = {}  # noqa: RUF012 - what a range gives does not depend on its history

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        tiny_shop(self.folder, ("AAA", "BBB"))
        self.kits = self.folder / "kits"
        self.harmed: set[str] = set()
        self.build()

    def teardown(self) -> None:
        self.build()
        shutil.rmtree(self.folder)

    def swap(self, name: str, one: str, other: str) -> None:
        """Write the one where the other stands, or the other way round."""
        path = self.kits / name
        text = path.read_text(encoding="utf-8") if path.is_file() else ""
        old, new = (other, one) if other in text else (one, other)
        if old in text:
            path.write_text(text.replace(old, new), encoding="utf-8")

    @rule(edit=st.sampled_from(SWAPS), then_build=st.booleans())
    def edit_what_kits_share(self, edit: tuple[str, str, str], then_build: bool) -> None:
        self.swap(*edit)
        if then_build:
            self.build()

    @rule(key=st.sampled_from(KEYS[:2]), edit=st.sampled_from(OF_A_KIT), then_build=st.booleans())
    def edit_a_kit(self, key: str, edit: tuple[str, str], then_build: bool) -> None:
        self.swap(f"{key}.yaml", *edit)
        if then_build:
            self.build()

    @rule(key=st.sampled_from(KEYS))
    def add_or_remove_a_kit(self, key: str) -> None:
        """What was altered of a kit that leaves would stay and be told: it is taken away with the kit."""
        path = self.kits / f"{key}.yaml"
        if path.is_file() and len([each for each in KEYS if (self.kits / f"{each}.yaml").is_file()]) > 1:
            path.unlink()
            if key.upper() in self.harmed:
                shutil.rmtree(self.folder / "build" / key.upper(), ignore_errors=True)
                (self.folder / "build" / f"{key.upper()}.html").unlink(missing_ok=True)
        elif not path.is_file():
            path.write_text(kit(key.upper()), encoding="utf-8")

    @rule()
    def add_or_remove_own_words(self) -> None:
        path = self.kits / "words.yaml"
        path.unlink() if path.is_file() else path.write_text(OWN_WORDS, encoding="utf-8")

    def names(self, path: Path) -> set[str]:
        """The names on the way to an output, without what follows a dot: among them the code of its kit."""
        return {part.partition(".")[0] for part in path.relative_to(self.folder).parts}

    @rule(data=st.data())
    def harm_an_output(self, data: st.DataObject) -> None:
        """What was altered of a kit that leaves stays and is told, so only those of the others are harmed."""
        gone = {key.upper() for key in KEYS if not (self.kits / f"{key}.yaml").is_file()}
        files = sorted(path for path in (self.folder / "build").rglob("*") if path.is_file())
        path = data.draw(st.sampled_from([each for each in files if not self.names(each) & gone]))
        self.harmed |= self.names(path)
        if data.draw(st.booleans()):
            path.unlink()
        else:
            path.write_bytes(path.read_bytes()[: data.draw(st.integers(0, 99))])

    @rule(code=st.sampled_from(KEYS))
    def build_one(self, code: str) -> None:
        quick(self.folder, "build", code.upper(), "--jobs", "1")

    @rule()
    def build(self) -> None:
        ran = quick(self.folder, "build", "--jobs", "1")
        key = hashlib.sha256(repr(sorted(digests(self.kits).items())).encode()).hexdigest()
        if key not in self.clean:
            fresh = quick(self.folder, "build", "--out", "clean", "--jobs", "1")
            self.clean[key] = {"code": str(fresh.code), "err": fresh.err, **digests(self.folder / "clean")}
            shutil.rmtree(self.folder / "clean", ignore_errors=True)
        wanted = self.clean[key]
        assert {"code": str(ran.code), "err": ran.err} == {name: wanted[name] for name in ("code", "err")}
        built = digests(self.folder / "build")
        if ran.code == 0:
            assert built == {name: wanted[name] for name in wanted if name not in ("code", "err")}
            assert quick(self.folder, "build").out.startswith("nothing to do")
        else:
            whole = {name: wanted[name] for name in wanted if "/" in name}
            assert {name: built.get(name) for name in whole} == whole


TestEditing = Editing.TestCase
TestEditing.settings = settings(
    max_examples=8,
    stateful_step_count=20,
    deadline=None,
    phases=(Phase.reuse, Phase.generate),
    suppress_health_check=list(HealthCheck),
)
