"""Answers of status 200 that are no page; and real pages, short and odd ones, that must never be taken for such."""

from __future__ import annotations

import pytest
from fetch_help import fetching, local, why

from doubtwort.errors import TableError
from doubtwort.fetching.outline import outline
from doubtwort.fetching.walls import load_walls, parse_walls, wall_of
from doubtwort.model import Fetched
from loopback import LoopbackWeb

HTML = {"content-type": "text/html; charset=utf-8"}
GUARD, WALLS = load_walls()
TABLE = """
[guard]
pattern = "plant"
example = "A plant grows."
near_miss = "A stone lies."
[[wall]]
id = "x"
reason = "not-found"
detail = "d"
sign = "text"
pattern = "p"
most = 1
own = "o"
besides = 1
example = "e"
near_miss = "n"
"""


def wall(page: str) -> str:
    seen = outline(page.encode(), HTML)
    assert seen is not None
    found = wall_of(seen)
    return found.id if found else ""


@pytest.mark.parametrize("rule", WALLS, ids=lambda rule: rule.id)
def test_every_rule_has_its_example_and_a_near_miss(rule):
    assert wall(rule.example) == rule.id
    assert wall(rule.near_miss) == ""


def test_the_guard_has_its_example_and_a_near_miss():
    assert GUARD.pattern.search(GUARD.example)
    assert not GUARD.pattern.search(GUARD.near_miss)


# Forms found in the wild (common practice), with invented names.
@pytest.mark.parametrize(
    ("page", "rule"),
    [
        ("<title>404</title>", "missing-title"),
        ("<title>Error 404 (Not Found)!!1</title><p>The requested URL /x was not found on this server.",
         "missing-text"),
        ("<title>404 Not Found</title><center><h1>404 Not Found</h1></center><hr><center>server</center>",
         "missing-title"),
        ("<title>Moor Notes</title><h1>Page not found</h1><p>Try the search.", "missing-title"),
        ("<title>Moor Notes - Seite nicht gefunden</title><p>Zur Startseite", "missing-title"),
        ("<title>Page introuvable | Landes</title><p>Retour", "missing-title"),
        ("<title>Oops! That page can't be found.</title><p>It looks like nothing was found here.", "missing-title"),
        ("<title>Moor</title><h2>Sorry</h2><p>The page you requested no longer exists.</p>"
         "<nav><a>Edible herbs.</a></nav>", "missing-text"),
        ("<title>a.example</title><p>The domain name a.example is for sale. Buy this domain.", "parked-for-sale"),
        ("<title>a.example</title><p>This domain was recently registered.<p>Related links<li><a>Edible Plants</a>",
         "parked"),
        ("<title>Login</title><form>E-mail <input> Password <input type=password></form>", "sign-in-title"),
        ("<title>Library</title><p>Please log in to continue reading.</p>", "sign-in-text"),
        ("<title>Before you continue to Library</title><p>We use cookies and data.</p>", "consent-title"),
        ("<title>One moment</title><p>Checking your browser before accessing the site.</p>", "human-check"),
        ("<title>App</title><noscript>This site requires JavaScript.</noscript><div id=app></div><script>1</script>",
         "scripts-only"),
        ("<title>App</title><div id=app>Loading…</div><script src=a.js></script>", "scripts-only"),
    ],
)  # fmt: skip
def test_walls(page, rule):
    assert wall(page) == rule


FACT = "<p>The young leaves are eaten boiled.</p>"
SHORT = "<p>Common on wet moors and along ditches near the sea, rarely inland, up to 300 metres.</p>"


# Real pages with signs of a wall beside their text, or with unlucky words in it.
@pytest.mark.parametrize(
    "page",
    [
        f"<title>Page not found</title>{FACT}",
        f"<title>404 Not Found</title><h1>Fictwort</h1>{FACT}",
        f"<title>Fictwort</title><h1>404</h1>{FACT}",
        "<title>Fictwort</title><p>Poison information for this page could not be found in the older edition.",
        f"<title>Fictwort</title><p>In the first herbarium the page was not found.</p>{SHORT * 4}",
        f"<title>Fictwort</title><div class=cookies>We use cookies. Accept all cookies.</div><script></script>{SHORT}",
        f"<title>Fictwort</title><div class=cookies>We use cookies. Accept all cookies.</div><script></script>{FACT}",
        f"<title>Fictwort</title><h2>We value your privacy</h2><p>Cookies.</p>{SHORT}",
        f"<title>Fictwort</title><header><form>Log in <input type=password></form></header>{SHORT}",
        f"<title>Log in - Moor Library</title><form><input type=password></form>{FACT}",
        f"<title>Fictwort</title><p>You must be logged in to comment.</p>{SHORT}{SHORT}{SHORT}",
        f"<title>Fictwort</title><noscript>Enable JavaScript to see the map.</noscript>{SHORT}<script></script>",
        "<title>Fictwort</title><noscript>Enable JavaScript.</noscript><p>Edibility: leaves edible.<script></script>",
        "<title>F</title><noscript>Enable JavaScript.</noscript><table><td>Leaf<td>edible</table><script></script>",
        f"<title>Fictwort</title><p>Cut flowers of this domain are for sale in the market.</p>{SHORT}",
        "<title>Nursery</title><h1>Fictwort</h1><p>This plant is for sale. Make an offer on this domain.</p>",
        f"<title>Error</title><p>A common error is to take it for a relative.</p>{SHORT}",
        "<title>Consent</title><p>Fictwort is eaten with the consent of no one.</p>",
        f"<title>Before you continue</title><p>Learn which roots are poisonous.</p>{SHORT}",
        "<title>Fictwort is not found here</title><p>Moors only.</p>",
        f"<p>404</p>{SHORT * 12}",
        "<title>Page not found</title>"
        + "<p>Eine Art der Moore, an Gräben und am Meer, selten im Binnenland.</p>" * 30,
    ],
)
def test_pages_that_are_to_be_read(page):
    assert wall(page) == ""


def test_a_long_page_is_never_a_wall():
    assert wall("<title>404 Not Found</title>" + "<p>The page you requested could not be found.</p>" * 2_000) == ""


@pytest.mark.parametrize(
    ("page", "reason", "said"),
    [
        ("<title>Page not found</title><p>Try the search.", "not-found", "(rule missing-title)"),
        ("<title>a.example</title><p>This domain is for sale.", "gone", "(rule parked-for-sale)"),
        ("<title>Before you continue</title><p>We use cookies.", "refused", "(rule consent-title)"),
        ("<title>Library</title><p>You must be signed in to read this.", "refused", "(rule sign-in-text)"),
        (
            "<title>App</title><noscript>Enable JavaScript.</noscript><script>1</script>",
            "no-text",
            "(rule scripts-only)",
        ),
    ],
)
def test_each_has_its_reason_and_names_its_rule(page, reason, said):
    with LoopbackWeb() as web, fetching() as fetcher:
        web.page("/a", page)
        got = why(fetcher.fetch(web.url("/a")))
    assert got[0] == reason
    assert got[1].endswith(said)


def test_other_kinds_of_files_are_not_looked_at():
    with LoopbackWeb() as web, fetching() as fetcher:
        web.page("/a", "<title>404 Not Found</title>", headers={"Content-Type": "text/plain"})
        web.page("/b", b"%PDF-1.4 <title>404 Not Found</title>", headers={"Content-Type": "application/pdf"})
        assert isinstance(fetcher.fetch(web.url("/a")), Fetched)
        assert isinstance(fetcher.fetch(web.url("/b")), Fetched)


@pytest.mark.parametrize("charset", ["utf-16", "utf-8-sig", "cp1252"])
def test_signs_are_seen_in_any_charset(charset):
    body = "<title>Seite nicht gefunden – ö</title><p>Zurück".encode(charset)
    seen = outline(body, {"content-type": f"text/html; charset={charset.replace('-sig', '')}"})
    assert seen is not None
    found = wall_of(seen)
    assert found is not None
    assert found.id == "missing-title"


@pytest.mark.parametrize(
    "table",
    ["", "[guard]", TABLE.replace("[[wall]]", "[[wall]]\nunknown = 1"), TABLE.replace('"text"', '"tilte"'),
     TABLE.replace('"not-found"', '"lost"'), TABLE + TABLE[TABLE.index("[[wall]]"):], TABLE.replace('"p"', '"("'),
     TABLE.replace("most = 1", ""), TABLE + "\nneeds = 'luck'", "other = 1\n" + TABLE, "wall = []\n" + TABLE[:90]],
)  # fmt: skip
def test_a_broken_table_stops_the_program(table):
    with pytest.raises(TableError):
        parse_walls(table)


def test_that_table_is_whole_without_its_faults():
    assert len(parse_walls(TABLE)[1]) == 1


# --------------------------------------------------------------------------- front page instead


@pytest.mark.parametrize(
    ("path", "front", "reason"),
    [
        ("/herbs/fictwort.html", "Welcome to the shop.", "not-found"),
        ("/herbs/fictwort.html", "Welcome. All about Fictwort.", None),  # a site of one page has moved it to its root
        ("/index.html", "Welcome to the shop.", None),
        ("/en/", "Welcome to the shop.", None),
        ("/?p=77", "Welcome to the shop.", None),
        ("/node/8731", "Welcome to the shop.", None),  # no word that tells what was there
        ("/f%C3%ADctwort-p%C3%A1gina", "Welcome. FÍCTWORT.", None),
    ],
)
def test_a_front_page_for_an_answer(path, front, reason):
    with LoopbackWeb() as web, fetching(local()) as fetcher:
        web.redirect(path, "/")
        web.page("/", f"<title>Shop</title><p>{front}</p>")
        got = fetcher.fetch(web.url(path))
        direct = fetcher.fetch(web.url("/"))
    assert isinstance(direct, Fetched)
    if reason is None:
        assert isinstance(got, Fetched)
    else:
        assert why(got) == (reason, "the site answers with its front page")
