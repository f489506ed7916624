"""Robots rules by the facts of the reference parser's own tests: github.com/google/robotstxt, robots_test.cc
(Apache-2.0), by test name. Its FooBot is this program here, BarBot and BazBot are others.

Left out are the tests that it calls its owner's alone and that RFC 9309 has not (index.html as a directory, lines cut
at 16 KB), and addresses that are not percent-encoded: those are encoded here before any rule sees them.
"""

from __future__ import annotations

import pytest

from doubtwort.fetching.politeness import Robots, RobotsFile

US = "doubtwort"
GROUPS = (
    f"allow: /foo/bar/\n\nuser-agent: {US}\ndisallow: /\nallow: /x/\nuser-agent: BarBot\ndisallow: /\nallow: /y/\n\n\n"
    f"allow: /w/\nuser-agent: BazBot\n\nuser-agent: {US}\nallow: /z/\ndisallow: /\n"
)
AS_BAR = GROUPS.replace(US, "FooBot").replace("BarBot", US)
AS_BAZ = GROUPS.replace(US, "FooBot").replace("BazBot", US)


def ours(*lines: str) -> str:
    return "\n".join([f"user-agent: {US}", *lines, ""])


FISH = [("bar", False), ("fish", True), ("fish.html", True), ("fish/salmon.html", True), ("fishheads", True),
        ("fishheads/yummy.html", True), ("fish.html?id=anything", True), ("Fish.asp", False), ("catfish", False),
        ("?id=fish", False)]  # fmt: skip
FISH_FOLDER = [("bar", False), ("fish/", True), ("fish/salmon", True), ("fish/?salmon", True),
               ("fish/salmon.html", True), ("fish/?id=anything", True), ("fish", False), ("fish.html", False),
               ("Fish/Salmon.html", False)]  # fmt: skip
PHP = [("bar", False), ("filename.php", True), ("folder/filename.php", True), ("folder/filename.php?parameters", True),
       ("/folder/any.php.file.html", True), ("filename.php/", True), ("index?f=filename.php/", True), ("php/", False),
       ("index?php", False), ("windows.PHP", False)]  # fmt: skip
PHP_AT_END = [("bar", False), ("filename.php", True), ("folder/filename.php", True), ("filename.php?parameters", False),
              ("filename.php/", False), ("filename.php5", False), ("php/", False), ("filename?php", False),
              ("aaaphpaaa", False), ("/windows.PHP", False)]  # fmt: skip
FISH_PHP = [("bar", False), ("fish.php", True), ("fishheads/catfish.php?parameters", True), ("Fish.PHP", False)]
LONG = ours("Disallow: /", "Allow: /foo/bar?qux=taz&baz=http://foo.bar?tar&par")

CASES: list[tuple[str, str, str, bool]] = [
    ("LineSyntax_Line", ours("disallow: /"), "x/y", False),
    ("LineSyntax_Line", f"foo: {US}\nbar: /\n", "x/y", True),
    ("LineSyntax_Line", f"user-agent {US}\ndisallow /\n", "x/y", False),
    ("LineSyntax_Groups", GROUPS, "x/b", True),
    ("LineSyntax_Groups", GROUPS, "z/d", True),
    ("LineSyntax_Groups", GROUPS, "y/c", False),
    ("LineSyntax_Groups", GROUPS, "foo/bar/", False),
    ("LineSyntax_Groups", AS_BAR, "y/c", True),
    ("LineSyntax_Groups", AS_BAR, "w/a", True),
    ("LineSyntax_Groups", AS_BAR, "z/d", False),
    ("LineSyntax_Groups", AS_BAR, "foo/bar/", False),
    ("LineSyntax_Groups", AS_BAZ, "z/d", True),
    ("LineSyntax_Groups", AS_BAZ, "foo/bar/", False),
    ("Groups_OtherRules", f"User-agent: {US}\nSitemap: https://foo.bar/s\nUser-agent: *\nDisallow: /\n", "", False),
    ("Groups_OtherRules", "User-agent: BarBot\nSitemap: https://foo.bar/s\nUser-agent: *\nDisallow: /\n", "", False),
    ("Groups_OtherRules", f"User-agent: {US}\nInvalid-Unknown-Line: u\nUser-agent: *\nDisallow: /\n", "", False),
    *[
        ("REPLineNamesCaseInsensitive", f"{agent}: {US}\n{allow}: /x/\n{disallow}: /\n", path, path == "x/y")
        for agent, allow, disallow in [
            ("USER-AGENT", "ALLOW", "DISALLOW"), ("user-agent", "allow", "disallow"),
            ("uSeR-aGeNt", "AlLoW", "dIsAlLoW"),
        ]
        for path in ("x/y", "a/b")
    ],
    *[
        ("UserAgentValueCaseInsensitive", f"User-Agent: {name} bar\nAllow: /x/\nDisallow: /\n", path, path == "x/y")
        for name in ("DOUBTWORT", "doubtwort", "DoUbTwOrT")
        for path in ("x/y", "a/b")
    ],
    ("AcceptUserAgentUpToFirstSpace",
     f"User-Agent: *\nDisallow: /\nUser-Agent: {US} Bar\nAllow: /x/\nDisallow: /\n", "x/y", True),
    ("GlobalGroups_Secondary", "", "x/y", True),
    ("GlobalGroups_Secondary", f"user-agent: *\nallow: /\nuser-agent: {US}\ndisallow: /\n", "x/y", False),
    ("GlobalGroups_Secondary", "user-agent: *\nallow: /\nuser-agent: FooBot\ndisallow: /\n", "x/y", True),
    ("GlobalGroups_Secondary", "user-agent: FooBot\nallow: /\nuser-agent: BarBot\ndisallow: /\n", "x/y", True),
    ("AllowDisallow_Value_CaseSensitive", ours("disallow: /x/"), "x/y", False),
    ("AllowDisallow_Value_CaseSensitive", ours("disallow: /X/"), "x/y", True),
    ("LongestMatch", ours("disallow: /x/page.html", "allow: /x/"), "x/page.html", False),
    ("LongestMatch", ours("allow: /x/page.html", "disallow: /x/"), "x/page.html", True),
    ("LongestMatch", ours("allow: /x/page.html", "disallow: /x/"), "x/", False),
    ("LongestMatch", ours("disallow: ", "allow: "), "x/page.html", True),
    ("LongestMatch", ours("disallow: /", "allow: /"), "x/page.html", True),
    ("LongestMatch", ours("disallow: /x", "allow: /x/"), "x", False),
    ("LongestMatch", ours("disallow: /x", "allow: /x/"), "x/", True),
    ("LongestMatch", ours("disallow: /x/page.html", "allow: /x/page.html"), "x/page.html", True),
    ("LongestMatch", ours("allow: /page", "disallow: /*.html"), "page.html", False),
    ("LongestMatch", ours("allow: /page", "disallow: /*.html"), "page", True),
    ("LongestMatch", ours("allow: /x/page.", "disallow: /*.html"), "x/page.html", True),
    ("LongestMatch", ours("allow: /x/page.", "disallow: /*.html"), "x/y.html", False),
    ("LongestMatch", "User-agent: *\nDisallow: /x/\n" + ours("Disallow: /y/"), "x/page", True),
    ("LongestMatch", "User-agent: *\nDisallow: /x/\n" + ours("Disallow: /y/"), "y/page", False),
    ("Encoding", LONG, "foo/bar?qux=taz&baz=http://foo.bar?tar&par", True),
    ("Encoding", ours("Disallow: /", "Allow: /foo/bar/ツ"), "foo/bar/%E3%83%84", True),
    ("Encoding", ours("Disallow: /", "Allow: /foo/bar/%E3%83%84"), "foo/bar/%E3%83%84", True),
    ("Encoding", ours("Disallow: /", "Allow: /foo/bar/%62%61%7A"), "foo/bar/%62%61%7A", True),
    ("SpecialCharacters", ours("Disallow: /foo/bar/quz", "Allow: /foo/*/qux"), "foo/bar/quz", False),
    ("SpecialCharacters", ours("Disallow: /foo/bar/quz", "Allow: /foo/*/qux"), "foo/quz", True),
    ("SpecialCharacters", ours("Disallow: /foo/bar/quz", "Allow: /foo/*/qux"), "foo//quz", True),
    ("SpecialCharacters", ours("Disallow: /foo/bar/quz", "Allow: /foo/*/qux"), "foo/bax/quz", True),
    ("SpecialCharacters", ours("Disallow: /foo/bar$", "Allow: /foo/bar/qux"), "foo/bar", False),
    ("SpecialCharacters", ours("Disallow: /foo/bar$", "Allow: /foo/bar/qux"), "foo/bar/qux", True),
    ("SpecialCharacters", ours("Disallow: /foo/bar$", "Allow: /foo/bar/qux"), "foo/bar/", True),
    ("SpecialCharacters", ours("# Disallow: /", "Disallow: /foo/quz#qux", "Allow: /"), "foo/bar", True),
    ("SpecialCharacters", ours("# Disallow: /", "Disallow: /foo/quz#qux", "Allow: /"), "foo/quz", False),
    *[("DocumentationChecks", ours("disallow: /", "allow: /fish"), *each) for each in FISH],
    *[("DocumentationChecks", ours("disallow: /", "allow: /fish*"), *each) for each in FISH],
    *[("DocumentationChecks", ours("disallow: /", "allow: /fish/"), *each) for each in FISH_FOLDER],
    *[("DocumentationChecks", ours("disallow: /", "allow: /*.php"), *each) for each in PHP],
    *[("DocumentationChecks", ours("disallow: /", "allow: /*.php$"), *each) for each in PHP_AT_END],
    *[("DocumentationChecks", ours("disallow: /", "allow: /fish*.php"), *each) for each in FISH_PHP],
    ("DocumentationChecks", ours("allow: /p", "disallow: /"), "page", True),
    ("DocumentationChecks", ours("allow: /folder", "disallow: /folder"), "folder/page", True),
    ("DocumentationChecks", ours("allow: /page", "disallow: /*.htm"), "page.htm", False),
    ("DocumentationChecks", ours("allow: /$", "disallow: /"), "", True),
    ("DocumentationChecks", ours("allow: /$", "disallow: /"), "page.html", False),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "robots", "path", "allowed"), CASES, ids=[f"{at}-{each[0]}" for at, each in enumerate(CASES)]
)
def test_as_the_reference_parser_has_it(name, robots, path, allowed):
    rules = Robots(RobotsFile(robots.encode()))
    assert (rules.refusal(f"http://foo.bar/{path}") is None) is allowed, name


def test_the_table_says_both_in_number():
    said = [allowed for *_, allowed in CASES]
    assert len(said) > 90
    assert 0.4 < sum(said) / len(said) < 0.7
