"""Everything that ties roots together."""

from __future__ import annotations

from doubtwort.citing.urls import registrable_domain
from doubtwort.model import Citation
from doubtwort.support.roots import Root, independent_groups

LONG = "The young leaves of Fictaria silvana are boiled in two changes of water and eaten like spinach."


def groups(*roots: Root) -> tuple[tuple[str, ...], ...]:
    return independent_groups(roots, registrable_domain)


def cited(**fields: object) -> tuple[Citation, ...]:
    return (Citation("r1", "An entry.", **fields),)  # type: ignore[arg-type]


def test_nothing_in_common_is_independent() -> None:
    one = Root("s1", ("http://herb.example/a",), cited(doi="10.5555/1", authors=("A. Muster",), title="On Leaves"))
    other = Root("s2", ("http://flora.example/a",), cited(doi="10.5555/2", authors=("B. Muster",), title="On Roots"))
    assert groups(one, other) == (("s1",), ("s2",))


def test_one_registrable_domain() -> None:
    assert groups(Root("s1", ("http://www.herb.example/a",)), Root("s2", ("https://flora.herb.example/b",))) == (
        ("s1", "s2"),
    )


def test_a_resolver_or_an_archive_ties_nothing_but_where_it_led_does() -> None:
    one = Root("s1", ("https://doi.org/10.5555/1", "https://press.example/1"))
    other = Root("s2", ("https://doi.org/10.5555/2", "https://journal.example/2"))
    third = Root("s3", ("https://doi.org/10.5555/3", "https://press.example/3"))
    assert groups(one, other, third) == (("s1", "s3"), ("s2",))


def test_one_doi_or_one_isbn() -> None:
    one = Root("s1", ("http://a.example/",), cited(doi="10.5555/ABC"))
    other = Root("s2", ("http://b.example/",), cited(doi="10.5555/abc", isbn="978-0-306-40615-7"))
    third = Root("s3", ("http://c.example/",), cited(isbn="9780306406157"))
    assert groups(one, other, third) == (("s1", "s2", "s3"),)


def test_one_author_and_one_title() -> None:
    one = Root("s1", ("http://a.example/",), cited(authors=("Muster, Anna",), title="Leaves of the Nowhere Hills"))
    other = Root("s2", ("http://b.example/",), cited(authors=("A. Muster",), title="Leaves of the nowhere hills."))
    third = Root("s3", ("http://c.example/",), cited(authors=("Probe, B.",), title="Leaves of the Nowhere Hills"))
    assert groups(one, other, third) == (("s1", "s2"), ("s3",))


def test_one_statement_copied_from_the_other() -> None:
    one = Root("s1", ("http://a.example/",), quotes=(LONG,))
    other = Root("s2", ("http://b.example/",), quotes=("Also a tea.", LONG.replace("young", "tender")))
    third = Root("s3", ("http://c.example/",), quotes=("The roots are roasted and ground for a drink like coffee.",))
    assert groups(one, other, third) == (("s1", "s2"), ("s3",))


def test_ties_are_passed_on() -> None:
    one = Root("s1", ("http://a.example/",), quotes=(LONG,))
    other = Root("s2", ("http://b.example/",), quotes=(LONG,))
    third = Root("s3", ("http://www.b.example/x",))
    assert groups(third, one, other) == (("s3", "s1", "s2"),)


def test_no_roots() -> None:
    assert groups() == ()
