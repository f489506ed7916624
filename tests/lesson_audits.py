"""The invented pages of demo and lesson, audited once for the tests of the lesson."""

from __future__ import annotations

from functools import cache

from doubtwort.audit import audit_page
from doubtwort.demo import DemoWeb, demo_claims
from doubtwort.fetching import open_fetcher
from doubtwort.model import Audit
from doubtwort.reporting.lesson import Lesson, make_lesson
from doubtwort.reporting.view import view_audit
from doubtwort.settings import Settings
from doubtwort.shipped import shipped


@cache
def invented() -> tuple[Audit, ...]:
    claims = (*demo_claims(), *demo_claims(shipped("fixtures") / "demo_web" / "lesson.toml"))
    with DemoWeb() as web:
        settings = Settings(proxies=web.proxies)
        with open_fetcher(settings) as fetcher:
            return tuple(
                audit_page(
                    each.url,
                    each.taxon,
                    wording=each.wording,
                    parts=each.parts,
                    preparations=each.preparations,
                    settings=settings,
                    fetcher=fetcher,
                )
                for each in claims
            )


def a_lesson(audits=None, count=10, seed=0) -> Lesson:
    return make_lesson(
        invented() if audits is None else audits,
        view_audit,
        count=count,
        seed=seed,
        made_by=f"doubtwort lesson --count {count} --seed {seed}",
        invented=audits is None,
    )
