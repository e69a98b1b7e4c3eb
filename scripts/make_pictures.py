"""Draw the pictures of the README from the shipped demo lift: pages of its real plan, nothing retouched."""

from __future__ import annotations

import sys
from pathlib import Path

import pypdfium2

import plumbhook

ROOT = Path(__file__).resolve().parent.parent
IMAGES = ROOT / "docs" / "images"
DEMO = "hallowmere-viaduct"
DOTS_PER_INCH = 110
# Words that only one page carries, and the picture made of that page.
PAGES = {
    "What governs": "cover.png",
    "Elevation towards": "arrangement.png",
    "Load path, hook to ground": "load-path.png",
}


def main() -> int:
    """Write one picture per entry of ``PAGES``; the first page that holds the words is taken."""
    assessment = plumbhook.assess(plumbhook.example(DEMO))
    document = pypdfium2.PdfDocument(plumbhook.lift_plan_pdf(assessment))
    IMAGES.mkdir(parents=True, exist_ok=True)
    for words, name in PAGES.items():
        page = next((p for p in document if words in p.get_textpage().get_text_range()), None)
        if page is None:
            print(f"no page says {words!r}; correct PAGES", file=sys.stderr)
            return 1
        picture = page.render(scale=DOTS_PER_INCH / 72.0).to_pil().convert("L").quantize(16)
        picture.save(IMAGES / name, optimize=True)
        print(f"wrote {IMAGES / name}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
