"""By hand: python tests/bench/bench_hostile.py [PART OF A NAME]. The hostile web as a table: case, reason given,
seconds, peak memory. Each case is fetched and read in a process of its own; the servers run in this one."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve()
sys.path[:0] = [str(HERE.parents[1] / each) for each in ("", "fetching")]

from hostile_cases import CASES, Case  # noqa: E402 - found through the path above

from loopback import LoopbackWeb  # noqa: E402


def measured(case: Case) -> tuple[str, str, float, float, float]:
    """Reason, detail, seconds, peak and idle memory in MB."""
    with LoopbackWeb() as web:
        url = case.serve(web)
        command = [sys.executable, str(HERE.parents[1] / "fetching" / "hostile_cases.py"), case.name, url]
        done = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    if done.returncode:
        return "FAILED", done.stderr.strip().rpartition("\n")[2], 0.0, 0.0, 0.0
    reason, detail, seconds, peak, idle = json.loads(done.stdout)
    return reason, detail, seconds, peak, idle


def certificate() -> tuple[str, str]:
    """The invalid certificate, which needs a server of its own."""
    from fetch_help import local

    from doubtwort.fetching import open_fetcher
    from doubtwort.model import NotFetched

    with tempfile.TemporaryDirectory() as folder:
        files = (Path(folder) / "certificate.pem", Path(folder) / "key.pem")
        subprocess.run(
            ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes",
             "-days", "2", "-subj", "/CN=127.0.0.1", "-out", str(files[0]), "-keyout", str(files[1])],
            check=True, capture_output=True,
        )  # fmt: skip
        with LoopbackWeb(files) as web, open_fetcher(local()) as fetcher:
            got = fetcher.fetch(web.url("/a"))
    assert isinstance(got, NotFetched)
    return got.reason.value, got.detail


def main() -> None:
    wanted = sys.argv[1].lower() if len(sys.argv) > 1 else ""
    print(f"{'case':34} {'reason given':20} {'seconds':>8} {'peak MB':>8} {'of it idle':>10}  detail")
    wrong = 0
    for case in CASES:
        if wanted not in case.name.lower():
            continue
        reason, detail, seconds, peak, idle = measured(case)
        mark = "" if reason == case.reason else f"  (wanted {case.reason})"
        wrong += bool(mark)
        print(f"{case.name:34} {reason:20} {seconds:8.2f} {peak:8.0f} {idle:10.0f}  {detail}{mark}", flush=True)
    if wanted in "invalid certificate":
        reason, detail = certificate()
        print(f"{'invalid certificate':34} {reason:20} {'':8} {'':8} {'':10}  {detail}")
    print(f"{wrong} with another reason than that of the table")


if __name__ == "__main__":
    main()
