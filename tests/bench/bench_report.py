"""How long a report of 200 sources takes and how large it is. By hand: .venv/bin/python tests/bench/bench_report.py"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "reporting"))
from large_audits import many

from doubtwort.reporting.html import report_page
from doubtwort.reporting.view import view_audit


def main() -> None:
    """The first report loads templates and rules; the second shows what each further one costs."""
    audit = many(200, statements=3)
    for turn in ("first", "second"):
        began = time.process_time()
        page = report_page(view_audit(audit))
        spent = time.process_time() - began
        print(f"{turn} report of {len(audit.sources)} sources: {spent:.3f} s of CPU, {len(page.encode()) / 1e3:.0f} kB")


if __name__ == "__main__":
    main()
