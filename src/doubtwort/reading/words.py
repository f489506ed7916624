"""The words by which pages name their parts: elements, roles, classes and ids, headings. No code but the splitter.

Class and id words are common practice, not a standard; roles are WAI-ARIA 1.2 and DPUB-ARIA 1.1.
"""

from __future__ import annotations


def words(text: str) -> frozenset[str]:
    """A set from words parted by white space."""
    return frozenset(text.split())


# Elements that hold no text. Struck-out text is out too: HTML calls it "no longer accurate" (s) or removed (del).
NEVER_TEXT = words(
    "script style template noscript iframe object embed canvas audio video map source track param link meta head "
    "title base select option datalist textarea input progress meter dialog frameset frame noframes applet svg rt rp "
    "del s strike"
)

MENU_ROLES = words(
    "navigation banner contentinfo search menu menubar toolbar dialog alertdialog tablist doc-toc button"
)

# Words of a class or id that name what is no text. Joined words are looked up too ("side-bar").
NO_TEXT_WORDS = words(
    "nav navbar navigation navbox navmenu topnav subnav menu submenu megamenu dropdown breadcrumb breadcrumbs cookie "
    "cookies consent gdpr share sharing sharebar sharedaddy social socials related recommended recommendations promo "
    "advert adverts advertisement advertising ads adsbygoogle sponsor sponsored newsletter subscribe subscription "
    "signup login signin modal popup overlay toc tableofcontents editsection editlink skiplink skip jumptonav "
    "pagination pager pagenav catlinks printfooter sitefooter siteheader masthead colophon widget widgets sidebar "
    "sidenav drawer toolbar pagetop backtotop totop appbar searchform searchbox morelinks readnext upnext prevnext "
    "postnavigation postnav copyright"
)

# A list of visitors' comments, and one comment in it.
COMMENTS_WORDS = words("comments commentlist disqus respond commentsection commentarea usercomments")

COMMENT_WORDS = words("comment reply commentbody commentauthor commentmeta")

# Tabs and folds: hidden until a click, and text all the same.
PANEL_WORDS = words("tab tabpanel tabcontent tabpane pane panel accordion collapse collapsible content")

# Elements that begin and end a block.
BLOCK_ELEMENTS = words(
    "address article aside blockquote body caption center dd details dialog dir div dl dt fieldset figcaption figure "
    "footer form header hgroup hr html legend li main menu nav ol p pre section summary table tbody td tfoot th thead "
    "tr ul h1 h2 h3 h4 h5 h6 listing xmp plaintext"
)

# "field-label" beside "field-value": the last word of a class that makes pairs.
LABEL_WORDS = words("label title term key heading header head attribute property name caption")

VALUE_WORDS = words("value values content contents data description desc item items body text detail details")

# Lists of references and of notes; markers and ways back.
REFERENCE_WORDS = words("references reflist refs bibliography citations literaturecited workscited")

NOTE_WORDS = words("footnotes footnote endnotes endnote fnlist notelist")

MARKER_WORDS = words("footnote footnoteref noteref fnanchor fnref reference citation cite endnote fn")

BACK_WORDS = words("backlink backref footnoteback footnotebackref reversefootnote mwcitebacklink")

# Headings, letters only: over references, over notes (or remarks), over lists that cite nothing in particular.
REFERENCE_HEADINGS = words(
    "references reference referencelist bibliography selectedbibliography literature literaturecited citedliterature "
    "workscited citedworks sources source sourcescited citations citation referencescited referencesandnotes "
    "notesandreferences sourcesandreferences referencesandsources generalreferences citedreferences primarysources "
    "secondarysources referencesandfurtherreading sourcesused literaturverzeichnis literatur quellen einzelnachweise "
    "quellenangaben quellenverzeichnis belege bibliographie références sourcesetréférences referencias bibliografía "
    "bibliografia riferimenti bronnen referenties referenser källor kilder litteratur"
)

NOTE_HEADINGS = words(
    "notes footnotes endnotes note footnote fußnoten fussnoten anmerkungen notas noten voetnoten noter"
)

FURTHER_HEADINGS = words(
    "furtherreading externallinks externallink seealso weblinks links moreinformation relatedlinks usefullinks "
    "relatedpages sieheauch weiterführendeliteratur voiraussi liensexternes véasetambién enlacesexternos "
    "furtherinformation recommendedreading additionalreading furthersources additionalresources"
)

RELATED_HEADINGS = words(
    "youmayalsolike youmightalsolike relatedposts relatedarticles relatedstories relatedcontent readnext readmore "
    "morefromus recentposts recentarticles popularposts popular trending mostread latestposts latestnews recommended "
    "recommendedforyou moreposts morearticles morelikethis otherposts categories tags archives"
)
