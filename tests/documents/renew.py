"""Write all golden dumps anew, and remove those that no document has: `python -m tests.documents.renew`."""

from __future__ import annotations

from tests.documents import life
from tests.documents.dump import dump
from tests.documents.golden import FOLDER, PAGES, kept, pages, path_of


def main() -> None:
    documents = kept()
    for path in FOLDER.glob("*/*.txt"):
        if path not in {path_of(name) for name in documents}:
            path.unlink()
            print(f"removed {path.relative_to(FOLDER)}")
    texts = {path_of(name): dump(document) for name, document in documents.items()}
    for path, text in (texts | {PAGES: pages()}).items():
        if not path.exists() or path.read_text(encoding="utf-8") != text:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="\n")
            print(f"wrote {path.relative_to(FOLDER)}")
    life.renew()


if __name__ == "__main__":
    main()
