"""Language codes of three letters as language tags: the shortest code of ISO 639 is to be used (RFC 5646, 2.2.1).

Codes are those of the registration authority's table (loc.gov/standards/iso639-2); both of its three-letter codes are
known where a language has two.
"""

from __future__ import annotations

from typing import Final

_SHORT: Final = dict(
    pair.split(":")
    for pair in (
        "afr:af sqi:sq alb:sq amh:am ara:ar hye:hy arm:hy aze:az eus:eu baq:eu bel:be ben:bn bos:bs bre:br bul:bg "
        "mya:my bur:my cat:ca zho:zh chi:zh cos:co hrv:hr ces:cs cze:cs dan:da nld:nl dut:nl eng:en epo:eo est:et "
        "fao:fo fin:fi fra:fr fre:fr fry:fy kat:ka geo:ka deu:de ger:de ell:el gre:el grn:gn guj:gu hau:ha heb:he "
        "hin:hi hun:hu isl:is ice:is ind:id gle:ga ita:it jpn:ja jav:jv kan:kn kaz:kk khm:km kor:ko kur:ku lao:lo "
        "lat:la lav:lv lit:lt ltz:lb mkd:mk mac:mk msa:ms may:ms mal:ml mlt:mt mri:mi mao:mi mar:mr mon:mn nav:nv "
        "nep:ne nor:no nob:nb nno:nn oci:oc pan:pa fas:fa per:fa pol:pl por:pt que:qu ron:ro rum:ro roh:rm rus:ru "
        "sme:se san:sa srp:sr sin:si slk:sk slo:sk slv:sl som:so spa:es swa:sw swe:sv tgl:tl tam:ta tat:tt tel:te "
        "tha:th bod:bo tib:bo tur:tr ukr:uk urd:ur uzb:uz vie:vi cym:cy wel:cy wol:wo xho:xh yid:yi yor:yo zul:zu"
    ).split()
)
_NO_LANGUAGE: Final = ("und", "mis", "mul", "zxx")


def language_tag(code: str) -> str:
    """A tag for a code as a service gives it, "" for what is none.

    >>> language_tag("eng"), language_tag("EN"), language_tag("haw"), language_tag("English"), language_tag("und")
    ('en', 'en', 'haw', '', '')
    """
    said = code.strip().lower()
    if not (said.isascii() and said.isalpha() and len(said) in (2, 3)) or said in _NO_LANGUAGE:
        return ""
    return _SHORT.get(said, said)
