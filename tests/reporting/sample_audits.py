"""Hand-made audits of invented taxa for the tests of every writer."""

from __future__ import annotations

from dataclasses import replace

from doubtwort.model import (
    About,
    Audit,
    Caution,
    Certainty,
    Citation,
    Claim,
    Eater,
    Grounds,
    Outcome,
    Place,
    Rating,
    Shift,
    Source,
    Statement,
    Step,
    Taxon,
    UnreadReason,
    Wording,
)

TAXON = Taxon("Fictaria silvana", common_names=("fictwort",))
CLAIM = Claim(
    "c1f2", TAXON, Wording.EDIBLE, "Fictwort is edible.", "http://commonlore.example/wiki/Fictaria_silvana", ("leaf",)
)
HARMLESS = Statement(
    "Fictwort is harmless.",
    Wording.NON_TOXIC,
    About.TAXON,
    rules=("harmless",),
    place=Place(("Similar plants",), 310, 331),
    subject="Fictwort",
)
POISONOUS = Statement(
    "The root of fictwort is poisonous raw.",
    Wording.TOXIC,
    About.TAXON,
    parts=("root",),
    preparations=("raw",),
    rules=("poisonous",),
    place=Place((), 20, 58, page=2),
)
WEAKER = Source(
    "s1",
    "http://imaginarybotany.example/4/vaguelia-aspera.html",
    "On Vaguelia aspera in the Low Hills",
    1,
    ("claim",),
    Outcome.WEAKER,
    final_url="http://imaginarybotany.example/4/vaguelia-aspera.html",
    main_subject="Vaguelia aspera",
    fetched_at="2026-11-25T09:30:00Z",
    sha256="ab" * 32,
    statements=(HARMLESS,),
)
BOOK = Source(
    "s2",
    "",
    "",
    1,
    ("claim",),
    Outcome.UNREAD,
    reason=UnreadReason.OFFLINE_WORK,
    citation=Citation("n2", "E. Mirage (1979): Almanac of Nowhere"),
)
LEAFLET = Source(
    "s3",
    "http://heathcounty.example/leaflet.pdf",
    "Plants to leave alone",
    2,
    ("s1",),
    Outcome.CONTRADICTS,
    final_url="http://heathcounty.example/new.pdf",
    archived=True,
    statements=(POISONOUS,),
)
STRETCHED = Audit(
    CLAIM,
    Rating.STRETCHED,
    ("s1 says less than the claim.",),
    (Caution("sources-unread", "One source could not be read.", "s2"),),
    (WEAKER, BOOK),
    (Step("claim", "s1", Shift.STRENGTHENED), Step("claim", "s2")),
    (("s1",),),
    "2026-11-25T09:30:05Z",
)
CONTRADICTED = replace(
    STRETCHED,
    rating=Rating.CONTRADICTED,
    sources=(WEAKER, BOOK, LEAFLET),
    trail=(*STRETCHED.trail, Step("s1", "s3"), Step("s3", "claim"), Step("s3", "s1", Shift.KEPT)),
    cautions=(
        Caution("toxic-stated", "A source on the trail calls it poisonous.", "s3"),
        Caution("look-alike", "It is confused with the deadly Vaguelia mollis.", "hazards"),
        *STRETCHED.cautions,
    ),
)
# A toxic statement about the genus, one about animals, one about another taxon; beside a claim that is borne out.
CORROBORATED = replace(
    STRETCHED,
    rating=Rating.CORROBORATED,
    cautions=(),
    sources=(
        replace(
            WEAKER,
            outcome=Outcome.SUPPORTS,
            grounds=Grounds.OWN_WORD,
            statements=(
                replace(HARMLESS, wording=Wording.EDIBLE, quote="The leaves are edible.", parts=("leaf",)),
                Statement("Most species of Fictaria are poisonous.", Wording.TOXIC, About.GENUS),
                Statement("Fictwort is poisonous to goats.", Wording.TOXIC, About.TAXON, Eater.ANIMALS),
                Statement("Vaguelia aspera is deadly.", Wording.TOXIC, About.OTHER, subject="Vaguelia aspera"),
                Statement("It may be edible.", Wording.EDIBLE, About.UNCLEAR, certainty=Certainty.HEDGED),
            ),
        ),
    ),
    trail=(Step("claim", "s1", Shift.KEPT),),
)
ALL = (STRETCHED, CONTRADICTED, CORROBORATED)
