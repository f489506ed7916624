"""How large a field sheet of 500 entries is and how fast it is searched in a browser.
By hand: .venv/bin/python tests/bench/bench_sheet.py"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[1] / "reporting"))
sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))
from browser_help import CHROMIUM, FLAGS
from playwright.sync_api import sync_playwright
from sheet_samples import large

from doubtwort.reporting.sheet import field_sheet

# What is in the box before, and what is typed.
SEARCHES = (
    ("", "f"), ("f", "fi"), ("", "fictaria"), ("", "leaf boiled"), ("", "invented herb 77"), ("", "no such word"),
    ("no such word", ""), ("fictaria", "vaguelia"),
)  # fmt: skip
# From a letter typed to the page laid out anew, and to the next picture on the screen.
TYPED = """async (text) => {
    const box = document.getElementById("words");
    box.value = text;
    const began = performance.now();
    box.dispatchEvent(new Event("input", {bubbles: true}));
    document.documentElement.getBoundingClientRect();
    const laid = performance.now() - began;
    await new Promise(done => requestAnimationFrame(() => setTimeout(done, 0)));
    return [laid, performance.now() - began];
}"""


def main() -> None:
    view = large(500)
    for turn in ("first", "second"):
        began = time.process_time()
        text = field_sheet(view)
        print(f"{turn} sheet of {len(view.entries)} entries: {time.process_time() - began:.2f} s of CPU")
    print(f"{len(text.encode()) / 1e6:.2f} MB, with {len(view.apart)} that are not to be eaten")
    with TemporaryDirectory() as folder, sync_playwright() as started:
        file = Path(folder) / "sheet.html"
        file.write_text(text, encoding="utf-8")
        browser = started.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        for name, size, slower in (("phone", (360, 740), 1), ("phone, 4 times slower", (360, 740), 4)):
            context = browser.new_context(viewport={"width": size[0], "height": size[1]})
            page = context.new_page()
            context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slower})
            page.goto(file.as_uri())
            for before, search in SEARCHES:
                found = [page.evaluate(TYPED, each) for _ in range(7) for each in (before, search)][1::2]
                laid, shown = (median(each[n] for each in found) for n in (0, 1))
                worst = max(each[0] for each in found)
                typed = f"{before!r} to {search!r}"
                print(f"  {name}: {typed:24} laid out in {laid:.1f} ms (worst {worst:.1f}), shown in {shown:.1f} ms")
            context.close()
        browser.close()


if __name__ == "__main__":
    main()
