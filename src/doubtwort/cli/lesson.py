"""``doubtwort lesson``: a hand-out, an exercise and an answer key from audited claims, and where a class erred."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from shlex import quote
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Annotated, Final

import typer

from doubtwort.errors import CallError, DoubtwortError

if TYPE_CHECKING:
    from doubtwort.model import Audit
    from doubtwort.notebook import Notebook
    from doubtwort.reporting.lesson import Lesson

ONLY: Final = ("handout", "key")
# So many claims of a notebook, the first of its list, are looked through for exercises.
MOST_CLAIMS: Final = 300
MOST_BYTES: Final = 10_000_000
_LONGEST_LINE: Final = 4_000
_USUAL_COUNT: Final = 10


def lesson(
    claim_ids: Annotated[
        list[str] | None,
        typer.Argument(metavar="[CLAIM_ID]…", help="Only sentences on the trails of these claims.", show_default=False),
    ] = None,
    html: Annotated[
        str | None,
        typer.Option("--html", metavar="FILE|-", help="Write the lesson as one HTML file, for screen and paper."),
    ] = None,
    only: Annotated[
        str | None,
        typer.Option("--only", metavar="handout|key", help="The hand-out without answers, or the key alone."),
    ] = None,
    answers: Annotated[
        str | None,
        typer.Option("--answers", metavar="FILE|-", help="Sum up a class's answers (CSV or JSON lines)."),
    ] = None,
    count: Annotated[int, typer.Option("--count", help="How many exercises.")] = _USUAL_COUNT,
    seed: Annotated[int, typer.Option("--seed", help="Another number, another choice; the same, the same.")] = 0,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object on standard output.")] = False,
    notebook: Annotated[
        Path | None,
        typer.Option("--notebook", metavar="FILE", help="Take audited claims from here. Default: an invented web."),
    ] = None,
) -> None:
    """Practise reading sources: asks what a sentence says, of what, and how far it bears its claim out."""
    _refuse(html, only, answers, as_json=as_json)
    with _claims(notebook) as (opened, label):
        made = _made(opened, claim_ids or (), count, seed, label)
    if answers is not None:
        _sum_up(made, answers, as_json=as_json)
    elif html is not None:
        _write(made, html, only or "")
    elif as_json:
        from doubtwort.reporting.lesson_machine import lesson_object
        from doubtwort.reporting.machine import dumps

        print(dumps(lesson_object(made, answers=only != "handout")))
    else:
        _in_terminal(made, only or "")


def _refuse(html: str | None, only: str | None, answers: str | None, *, as_json: bool) -> None:
    if only is not None and only not in ONLY:
        raise CallError(f"--only is handout or key, not {only!r}.")
    if answers is not None and (html is not None or only is not None):
        raise CallError("--answers sums up answers: give it no --html and no --only.")
    if html is not None and as_json:
        raise CallError("Give --html or --json, not both.")


@contextmanager
def _claims(notebook: Path | None) -> Iterator[tuple[Notebook, str]]:
    """The notebook to take claims from, and the option that names it; without one, the invented web audited anew."""
    from doubtwort.notebook import open_notebook

    if notebook is not None:
        with open_notebook(notebook, create=False) as opened:
            yield opened, f" --notebook {quote(str(notebook))}"
        return
    with (
        TemporaryDirectory(prefix="doubtwort-lesson-", ignore_cleanup_errors=True) as folder,
        open_notebook(Path(folder) / "lesson.sqlite") as opened,
    ):
        _audit_invented(opened)
        yield opened, ""


def _audit_invented(opened: Notebook) -> None:
    """The claims of the demo and those of the lesson, into a notebook that is thrown away."""
    from doubtwort.cli.auditing import audit_kept
    from doubtwort.cli.progress import Progress
    from doubtwort.demo import DemoWeb, demo_claims
    from doubtwort.fetching import open_fetcher
    from doubtwort.settings import Settings
    from doubtwort.shipped import shipped

    claims = (*demo_claims(), *demo_claims(shipped("fixtures") / "demo_web" / "lesson.toml"))
    with DemoWeb() as web, Progress() as tell:
        settings = Settings(proxies=web.proxies)
        with open_fetcher(settings) as fetcher:
            for each in claims:
                audit_kept(
                    each.url, each.taxon, each.wording, each.parts, each.preparations, settings, fetcher, opened, tell
                )


def _made(opened: Notebook, claim_ids: Sequence[str], count: int, seed: int, label: str) -> Lesson:
    from doubtwort.cli.report import viewed
    from doubtwort.reporting.lesson import make_lesson

    ids = tuple(dict.fromkeys(claim_ids))
    audits: list[Audit]
    if ids:
        audits = [opened.audit(each) for each in ids]
    else:
        audited = [row.audit_id for row in opened.claims() if row.audit_id is not None]
        audits = [opened.audit(each) for each in audited[:MOST_CLAIMS]]
    if not audits:
        raise DoubtwortError("The notebook holds no audited claim. Leave out --notebook for a lesson on invented ones.")
    named = "".join(f" {quote(each)}" for each in ids)
    return make_lesson(
        audits,
        lambda audit: viewed(opened, audit),
        count=count,
        seed=seed,
        made_by=f"doubtwort lesson{named} --count {count} --seed {seed}{label}",
        invented=not label,
    )


def _write(made: Lesson, file: str, only: str) -> None:
    from doubtwort.cli.report import STANDARD_OUTPUT, write_file
    from doubtwort.reporting.lesson_html import lesson_page
    from doubtwort.text import printable

    text = lesson_page(made, only)
    if file == STANDARD_OUTPUT:
        sys.stdout.buffer.write(text.encode("utf-8", "replace"))
        return
    write_file(Path(file), text)
    print(printable(file), file=sys.stderr)


def _in_terminal(made: Lesson, only: str) -> None:
    """The hand-out, the key, or the exercise: questions on standard output, answers from standard input."""
    from doubtwort.reporting.lesson_answers import summarise
    from doubtwort.reporting.lesson_terminal import ask_lesson, print_handout, print_head, print_key, print_summary_of
    from doubtwort.reporting.terminal import open_console

    console = open_console()
    if only:
        (print_handout if only == "handout" else print_key)(made, console)
        return
    print_head(made, console)
    given, lasted = ask_lesson(made, console, _typed(), interactive=sys.stdin.isatty())
    print_summary_of(summarise(made, given), console, of_a_class=False)
    if not lasted:
        print("All exercises at once: doubtwort lesson --only handout", file=sys.stderr)


def _typed() -> Iterator[str]:
    """Lines of standard input, each cut at its longest; undecodable bytes stand as U+FFFD."""
    sys.stdout.flush()
    while raw := sys.stdin.buffer.readline(_LONGEST_LINE):
        while not raw.endswith(b"\n") and len(raw) >= _LONGEST_LINE and (rest := sys.stdin.buffer.readline(65_536)):
            if rest.endswith(b"\n"):
                break
        yield raw.decode("utf-8", "replace")


def _sum_up(made: Lesson, file: str, *, as_json: bool) -> None:
    from doubtwort.reporting.lesson_answers import read_answers, summarise
    from doubtwort.reporting.lesson_terminal import print_head, print_summary_of
    from doubtwort.reporting.terminal import open_console

    name = "standard input" if file == "-" else file
    summary = summarise(made, read_answers(_answers_text(file, name), made, name))
    if as_json:
        from doubtwort.reporting.lesson_machine import summary_object
        from doubtwort.reporting.machine import dumps

        print(dumps(summary_object(summary, made)))
        return
    console = open_console()
    print_head(made, console, title="Reading what sources say: a class's answers")
    print_summary_of(summary, console, of_a_class=True)


def _answers_text(file: str, name: str) -> str:
    try:
        if file == "-":
            raw = sys.stdin.buffer.read(MOST_BYTES + 1)
        else:
            with open(file, "rb") as opened:
                raw = opened.read(MOST_BYTES + 1)
    except OSError as error:
        raise CallError(f"{name} cannot be read: {error.strerror or error}. Check the file's name.") from error
    if len(raw) > MOST_BYTES:
        raise CallError(f"{name} is larger than {MOST_BYTES} bytes. Split it.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise CallError(f"{name} is not UTF-8 text (byte {error.start}). Convert it to UTF-8 first.") from error
