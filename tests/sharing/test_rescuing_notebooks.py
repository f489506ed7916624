"""Damaged notebooks: what can be read is saved, what warned is not quietly forgotten, the file stays as it is."""

from __future__ import annotations

import itertools
import json
import random
import sqlite3
from contextlib import closing
from dataclasses import replace

import pytest

from doubtwort.errors import CallError, NotebookDamaged, NotebookReadOnly, NotebookTooNew
from doubtwort.model import Rating
from doubtwort.notebook import open_notebook
from doubtwort.notebook.backups import backups
from doubtwort.notebook.header import mend_header
from doubtwort.notebook.history import changing
from doubtwort.notebook.rescue import rescue
from doubtwort.notebook.schema import back_up, shipped_migrations
from doubtwort.notebook.vetted import Decision, Status, decide, entries
from notebook.notebook_values import TAXON, a_claim, an_audit
from sharing.sharing_samples import SILVANA, everything, rows, shape

PAGE = 4096  # SQLite's usual page (sqlite.org/pgszchng2016.html)


@pytest.fixture(scope="module")
def whole(tmp_path_factory) -> bytes:
    """A sound notebook of some 200 pages, as one file."""
    path = everything(tmp_path_factory.mktemp("whole") / "n.sqlite")
    with open_notebook(path) as notebook:
        for number in range(60):
            claim = replace(a_claim(f"k{number}", 4), url=f"http://k{number}.example/")
            notebook.keep_audit(replace(an_audit(f"k{number}", 4), claim=claim))
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
    return path.read_bytes()


@pytest.fixture
def damaged(tmp_path):
    return tmp_path / "damaged.sqlite"


def saved(damaged, data: bytes):
    """Rescues these bytes; the file that they lie in stays as it was."""
    damaged.write_bytes(data)
    done = rescue(damaged, damaged.with_name("new.sqlite"))
    assert damaged.read_bytes() == data
    with open_notebook(damaged.with_name("new.sqlite"), create=False) as notebook:
        notebook.check()
    return done


def page_of_table(data: bytes, path, table: str) -> list[int]:
    """Numbers of the leaf pages of a table, by SQLite's own account of them."""
    path.write_bytes(data)
    with closing(sqlite3.connect(path)) as connection:
        try:
            asked = "SELECT pageno FROM dbstat WHERE name = ? AND pagetype = 'leaf' ORDER BY pageno"
            return [row[0] for row in connection.execute(asked, (table,))]
        except sqlite3.OperationalError:
            pytest.skip("this SQLite has no dbstat")


def without_pages(data: bytes, pages: list[int], filling: bytes = b"\xff") -> bytes:
    broken = bytearray(data)
    for number in pages:
        broken[(number - 1) * PAGE : number * PAGE] = filling * PAGE
    return bytes(broken)


def test_of_a_sound_notebook_everything_is_saved(whole, damaged, tmp_path):
    done = saved(damaged, whole)
    assert (done.whole, done.lost, done.unplaced, done.unplaced_file, done.back_to_waiting) == (True, (), 0, None, ())
    assert rows(tmp_path / "new.sqlite") == rows(damaged)
    assert shape(tmp_path / "new.sqlite") == shape(damaged)


@pytest.mark.parametrize(
    ("what", "spoil"),
    [
        ("the magic string", lambda data: b"not a file at all" + data[17:]),
        ("all of the header", lambda data: bytes(100) + data[100:]),
        ("the page size", lambda data: data[:16] + b"\x12\x34" + data[18:]),
    ],
)
def test_a_spoilt_header_is_written_anew(whole, damaged, tmp_path, what, spoil):
    """The header's fields: sqlite.org/fileformat2.html, section 1.3."""
    damaged.write_bytes(spoil(whole))
    with pytest.raises(NotebookDamaged, match="doubtwort rescue"):
        open_notebook(damaged)
    assert saved(damaged, spoil(whole)).whole
    damaged.write_bytes(whole)
    assert rows(tmp_path / "new.sqlite") == rows(damaged)


def test_a_sound_header_is_left_alone(whole, damaged):
    damaged.write_bytes(whole)
    assert mend_header(damaged) is False
    assert damaged.read_bytes() == whole


def test_rows_before_between_and_after_damaged_pages_are_saved(whole, damaged, tmp_path):
    leaves = page_of_table(whole, damaged, "statements")
    assert len(leaves) > 8
    before = rows(damaged)["statements"]
    done = saved(damaged, without_pages(whole, [leaves[2], leaves[5]]))
    kept = rows(tmp_path / "new.sqlite")["statements"]
    missing = sorted({row[0] for row in before} - {row[0] for row in kept})
    assert (done.lost, set(kept) <= set(before)) == (("statements",), True)
    # Two runs of rows, those of the two pages and no others: each page holds as many as its neighbours, 25.
    gaps = [at for at, (a, b) in enumerate(itertools.pairwise(missing)) if b - a > 1]
    assert (len(missing), len(gaps)) == (50, 1)


def test_an_accepted_entry_waits_when_something_is_lost(whole, damaged, tmp_path):
    """Nobody knows whether the lost page held a warning."""
    leaves = page_of_table(whole, damaged, "cautions")
    done = saved(damaged, without_pages(whole, leaves[:1]))
    assert (done.whole, done.back_to_waiting) == (False, ("v1",))
    with open_notebook(tmp_path / "new.sqlite") as notebook:
        found = {each.id: each for each in entries(notebook)}
    assert (found["v1"].status, found["v2"].status) == (Status.WAITING, Status.REJECTED)
    assert "damaged" in found["v1"].waiting_because


def test_a_claim_whose_taxon_is_lost_names_it_again(whole, damaged, tmp_path):
    leaves = page_of_table(whole, damaged, "taxa")
    done = saved(damaged, without_pages(whole, leaves, b"\x00"))
    assert "taxa" in done.lost
    with open_notebook(tmp_path / "new.sqlite") as notebook:
        assert {each.taxon for each in notebook.claims()} == {SILVANA}
        assert len(notebook.claims()) == 62


def test_what_was_read_but_fits_nowhere_lies_beside(whole, damaged):
    leaves = page_of_table(whole, damaged, "sources")
    done = saved(damaged, without_pages(whole, leaves[1:2]))
    assert done.unplaced > 0
    told = [json.loads(line) for line in done.unplaced_file.read_text("utf-8").splitlines()]
    assert len(told) == done.unplaced
    assert {each["table"] for each in told} >= {"statements"}
    assert any("poisonous" in each["row"].get("quote", "") for each in told)
    assert all("sources is lost" in each["why"] for each in told)


@pytest.mark.parametrize("share", [0.95, 0.6])
def test_of_a_file_cut_off_its_beginning_is_saved(whole, damaged, share):
    done = saved(damaged, whole[: int(len(whole) * share)])
    assert done.lost
    assert sum(done.rows.values()) + done.unplaced > 100 * share


@pytest.mark.parametrize("seed", range(12))
def test_any_damage_gives_a_sound_notebook_or_one_clear_line(whole, damaged, tmp_path, seed):
    chosen = random.Random(seed)
    broken = bytearray(whole)
    for _ in range(chosen.randint(1, 12)):
        start = chosen.randrange(0, len(whole) - 3000)
        broken[start : start + chosen.choice((1, 40, 3000))] = chosen.randbytes(chosen.choice((1, 40, 3000)))
    try:
        done = saved(damaged, bytes(broken))
    except NotebookDamaged as error:
        said = str(error)
    else:
        said = ""
        assert sum(done.rows.values()) + done.unplaced > 500
        for entry in rows(tmp_path / "new.sqlite")["entries"]:
            assert done.whole or "accepted" not in entry
    if said:
        assert "\n" not in said
        assert sorted(each.name for each in tmp_path.iterdir()) == ["damaged.sqlite"]


def test_the_latest_changes_are_read_from_the_log(tmp_path, damaged):
    """What lies in the write-ahead log only is part of the notebook (sqlite.org/wal.html)."""
    with open_notebook(damaged) as notebook:
        notebook.keep_audit(an_audit("c1"))
        assert damaged.with_name(damaged.name + "-wal").stat().st_size > 0
        done = rescue(damaged, tmp_path / "new.sqlite")
    assert done.rows["audits"] == 1


@pytest.mark.parametrize("data", [b"", b"x", b"x" * 100_000, b"SQLite format 3\x00" + bytes(5000)])
def test_of_what_is_no_notebook_nothing_is_saved_and_the_backup_is_named(damaged, data):
    with open_notebook(damaged) as notebook:
        notebook.keep_audit(an_audit("c1"))
        backup = back_up(notebook.db.conn, damaged, 7)
    damaged.write_bytes(data)
    damaged.with_name(damaged.name + "-wal").unlink(missing_ok=True)
    with pytest.raises(NotebookDamaged, match=f"latest backup is {backup.name}"):
        rescue(damaged, damaged.with_name("new.sqlite"))
    assert not damaged.with_name("new.sqlite").exists()


def test_sqlite_files_of_other_kinds_are_not_taken_for_notebooks(damaged):
    with closing(sqlite3.connect(damaged)) as connection:
        connection.execute("CREATE TABLE claims (id INTEGER PRIMARY KEY, x TEXT)")
    with pytest.raises(NotebookDamaged, match="Nothing could be read"):
        rescue(damaged, damaged.with_name("new.sqlite"))


def test_nothing_is_overwritten(whole, damaged, tmp_path):
    damaged.write_bytes(whole)
    (tmp_path / "new.sqlite").write_bytes(b"mine")
    with pytest.raises(CallError, match="there already"):
        rescue(damaged, tmp_path / "new.sqlite")
    with pytest.raises(CallError, match="There is no file"):
        rescue(tmp_path / "nowhere", tmp_path / "other.sqlite")
    with pytest.raises(NotebookReadOnly):
        rescue(damaged, damaged / "inside.sqlite")
    assert (tmp_path / "new.sqlite").read_bytes() == b"mine"


def test_backups_are_listed_the_latest_first_and_a_broken_one_is_told(damaged):
    with open_notebook(damaged) as notebook:
        notebook.keep_audit(an_audit("c1"))
        first = back_up(notebook.db.conn, damaged, 6)
        notebook.keep_audit(replace(an_audit("c2"), claim=replace(a_claim("c2"), url="http://b.example/")))
        second = back_up(notebook.db.conn, damaged, 7)
    for name in ("n.backup", "damaged.sqlite.schemaX-1.backup", "other.sqlite.schema7-20260101T000000.backup"):
        damaged.with_name(name).write_bytes(b"x")
    first.rename(first.with_name("damaged.sqlite.schema6-20250131T120000.backup"))
    found = backups(damaged)
    assert [(each.schema, each.claims, each.sound) for each in found] == [(7, 2, True), (6, 1, True)]
    assert (found[1].made_at, found[0].path) == ("2025-01-31T12:00:00Z", second)
    second.write_bytes(second.read_bytes()[:5000])
    assert (backups(damaged)[0].claims, backups(damaged)[0].sound) == (None, False)
    assert backups(damaged.with_name("nothing")) == ()


def test_deciding_again_forgets_a_claim_that_was_deleted_before(tmp_path):
    """A decision rests on what is there when it is made."""
    from doubtwort.notebook.claims_by_hand import delete_claim
    from doubtwort.notebook.ruling import settle

    with open_notebook(tmp_path / "n.sqlite") as notebook:
        notebook.keep_audit(an_audit("c1", rating=Rating.SUPPORTED))
        decide(notebook, TAXON.scientific_name, "leaf", "", Decision(Status.WAITING, claims=("c1",)))
        delete_claim(notebook, "c1")
        kept = decide(notebook, TAXON.scientific_name, "leaf", "", Decision(Status.ACCEPTED, despite="I know it"))
        assert kept.claims == ()
        with changing(notebook, "looked through") as change:
            assert settle(change) == []


def test_of_a_later_version_nothing_is_left_out(whole, tmp_path):
    """Its other tables are not known here: it is refused, since they would be lost without a word."""
    path, into = tmp_path / "n.sqlite", tmp_path / "new.sqlite"
    path.write_bytes(whole)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA user_version = {len(shipped_migrations()) + 1}")
    before = path.read_bytes()
    with pytest.raises(NotebookTooNew, match="later version"):
        rescue(path, into)
    assert (into.exists(), path.read_bytes()) == (False, before)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA user_version = 123456789")  # damage, no version
    assert rescue(path, into).whole


@pytest.mark.parametrize("spoilt", ["claims", "statements", "vetted_list", "places_added", "tasting_search"])
def test_a_description_of_a_table_that_cannot_be_read_takes_nothing_along(whole, damaged, tmp_path, spoilt):
    """One wrong letter in it, and SQLite refuses the whole file ("malformed database schema")."""
    for word in (b"TABLE", b"VIEW", b"TRIGGER", b"VIRTUAL TABLE"):
        made = b"CREATE " + word + b" " + spoilt.encode()
        if made in whole:
            break
    data = whole.replace(made, b"CREXTE" + made[6:], 1)
    assert data != whole
    damaged.write_bytes(data)
    with pytest.raises(NotebookDamaged, match="malformed database schema"):
        open_notebook(damaged)
    done = saved(damaged, data)
    assert (done.whole, done.unplaced) == (True, 0)
    damaged.write_bytes(whole)
    assert rows(tmp_path / "new.sqlite") == rows(damaged)


def test_a_page_whose_bytes_are_not_its_own_any_more_is_told(whole, tmp_path):
    """SQLite sees no damage in it; its SHA-256 does."""
    path = tmp_path / "n.sqlite"
    path.write_bytes(whole)
    with closing(sqlite3.connect(path)) as connection:
        packed = connection.execute("SELECT rowid, zlib FROM bodies ORDER BY length(zlib) DESC").fetchone()
        changed = packed[1][:40] + bytes([packed[1][40] ^ 1]) + packed[1][41:]
        connection.execute("UPDATE bodies SET zlib = ? WHERE rowid = ?", (changed, packed[0]))
        connection.commit()
    done = rescue(path, tmp_path / "new.sqlite")
    assert (done.lost, done.whole, done.unplaced) == (("bodies",), False, 0)


def test_the_new_notebook_is_one_file(whole, tmp_path):
    (tmp_path / "n.sqlite").write_bytes(whole)
    rescue(tmp_path / "n.sqlite", tmp_path / "new" / "new.sqlite")
    assert [each.name for each in (tmp_path / "new").iterdir()] == ["new.sqlite"]
