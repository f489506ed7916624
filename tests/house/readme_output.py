"""The example of README.md: what its command prints. Run as a program, it writes the example anew."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path

README = Path(__file__).parents[2] / "README.md"
BEGIN, END = "<!-- begin output -->\n", "<!-- end output -->\n"
EXAMPLE = (
    "doubtwort audit http://commonlore.example/wiki/Fictaria_silvana \\\n"
    "    --taxon 'Fictaria silvana' --common-name fictwort --offline --notebook doubtwort-demo.sqlite"
)


def example() -> str:
    """The part of README.md between its two marks."""
    from demo_run import run_demo

    done = run_demo().call(*shlex.split(EXAMPLE.replace("\\\n", " "))[1:])
    if done.returncode != 0:
        raise RuntimeError(done.stderr)
    return f"```\n$ {EXAMPLE}\n{done.stdout.rstrip()}\n```\n"


def readme_parts() -> tuple[str, str, str]:
    """README.md before, between and after the marks."""
    before, rest = README.read_text(encoding="utf-8").split(BEGIN)
    between, after = rest.split(END)
    return before, between, after


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))
    start, _, end = readme_parts()
    README.write_text(f"{start}{BEGIN}{example()}{END}{end}", encoding="utf-8")
